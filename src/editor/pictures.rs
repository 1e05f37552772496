//! Pictures to trace: bytes that may be anything become pixels, or a sentence that says why not. Knows no plan's room and no widget.
//!
//! What a plan carries is never the file itself but written anew from its pixels: upright, at most [`MOST_KEPT_SIDE`] pixels a side,
//! and without what a camera notes about time and place, which has no business in a plan that is mailed about.

use std::fmt;
use std::io::{Cursor, ErrorKind};
use std::path::{Path, PathBuf};

use image::codecs::jpeg::{JpegDecoder, JpegEncoder};
use image::codecs::png::{PngDecoder, PngEncoder};
use image::{DynamicImage, ImageDecoder, ImageError, Limits, RgbImage};

use crate::plan::Picture;
use crate::storage::disk::{Disk, in_plain_words};

/// The longest file that is read, in bytes.
pub const MOST_BYTES: u64 = 64_000_000;
/// The most pixels of a picture.
pub const MOST_PIXELS: u64 = 40_000_000;
/// The longest side of a picture, in pixels.
pub const MOST_SIDE: u32 = 20_000;
/// The longest side of a picture as a plan carries it, in pixels.
pub const MOST_KEPT_SIDE: u32 = 4_096;
/// The most passes a JPEG picture may be built of; each costs as much as the whole picture.
const MOST_SCANS: usize = 20;
/// The most memory that pixels may take while they are read, in bytes.
const MOST_MEMORY: u64 = 256 << 20;

/// A picture that was read: its pixels, upright, on white.
pub type Pixels = RgbImage;

/// Why a picture could not be read. The plan is as it was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PictureFault {
    /// The file could not be read; holds its path and the system's words.
    Disk(PathBuf, String),
    /// The file is longer than [`MOST_BYTES`].
    TooLong,
    /// It is something else; holds what it seems to be.
    OtherKind(&'static str),
    /// More pixels than can be traced: width and height.
    TooLarge(u32, u32),
    /// It has so many colours or layers a pixel that it would take too much memory.
    TooDeep,
    /// A JPEG built of too many passes.
    TooManyPasses(usize),
    /// The file ends too early.
    Cut,
    /// It is damaged; holds the decoder's words.
    Damaged(String),
    /// It cannot be made small enough for a plan.
    CannotBeKept,
}

impl fmt::Display for PictureFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Disk(path, why) => write!(
                f,
                "{} cannot be read: {why}. Check the name and the rights of the file.",
                path.display()
            ),
            Self::TooLong => write!(
                f,
                "The file is longer than {} million bytes. Save the picture smaller, as PNG or JPEG.",
                MOST_BYTES / 1_000_000
            ),
            Self::OtherKind(what) => write!(
                f,
                "This is {what}. Only PNG and JPEG pictures can be traced; save it as one of these."
            ),
            Self::TooLarge(width, height) => write!(
                f,
                "The picture has {width} by {height} pixels; at most {} million, and {MOST_SIDE} a side, can be traced. \
                 Save it smaller.",
                MOST_PIXELS / 1_000_000
            ),
            Self::TooDeep => f.write_str(
                "The picture would take too much memory. Save it with 8 bits a colour, or smaller.",
            ),
            Self::TooManyPasses(passes) => write!(
                f,
                "The JPEG picture is built up in {passes} passes; at most {MOST_SCANS} are read. Save it anew as a plain JPEG."
            ),
            Self::Cut => f.write_str(
                "The picture ends before it is complete. Copy the file again from where it came from.",
            ),
            Self::Damaged(why) => write!(
                f,
                "The picture is damaged ({why}). Copy the file again, or save it anew."
            ),
            Self::CannotBeKept => {
                f.write_str("The picture cannot be made small enough for a plan. Save it smaller.")
            }
        }
    }
}

impl std::error::Error for PictureFault {}

/// Reads a picture's file and makes of it what a plan carries.
pub fn from_file(disk: &dyn Disk, path: &Path) -> Result<(Picture, Pixels), PictureFault> {
    let bytes = disk.read(path, MOST_BYTES).map_err(|error| {
        if error.kind() == ErrorKind::FileTooLarge {
            PictureFault::TooLong
        } else {
            PictureFault::Disk(path.to_path_buf(), in_plain_words(&error))
        }
    })?;
    taken_in(&bytes)
}

/// What a plan carries of a picture's file, and its pixels.
pub fn taken_in(bytes: &[u8]) -> Result<(Picture, Pixels), PictureFault> {
    let pixels = shrunk(pixels_of(bytes)?, MOST_KEPT_SIDE);
    let drawn = is_png(bytes);
    kept(pixels, drawn)
}

/// The pixels of a picture, upright, see-through parts on white.
pub fn pixels_of(bytes: &[u8]) -> Result<Pixels, PictureFault> {
    if u64::try_from(bytes.len()).unwrap_or(u64::MAX) > MOST_BYTES {
        return Err(PictureFault::TooLong);
    }
    if is_png(bytes) {
        let decoder = PngDecoder::with_limits(Cursor::new(bytes), limits());
        return decoded(decoder.map_err(|e| fault_of(&e))?);
    }
    if !bytes.starts_with(b"\xFF\xD8\xFF") {
        return Err(PictureFault::OtherKind(other_kind(bytes)));
    }
    passes(bytes)?;
    decoded(JpegDecoder::new(Cursor::new(bytes)).map_err(|e| fault_of(&e))?)
}

/// The picture with no side longer than that, in pixels.
pub fn shrunk(pixels: Pixels, most: u32) -> Pixels {
    if pixels.width().max(pixels.height()) <= most {
        return pixels;
    }
    DynamicImage::from(pixels).thumbnail(most, most).into_rgb8()
}

fn is_png(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\x89PNG\r\n\x1a\n")
}

fn limits() -> Limits {
    let mut limits = Limits::no_limits();
    limits.max_image_width = Some(MOST_SIDE);
    limits.max_image_height = Some(MOST_SIDE);
    limits.max_alloc = Some(MOST_MEMORY);
    limits
}

/// Looks at the size first: a few bytes of header may promise gigabytes.
fn decoded(mut decoder: impl ImageDecoder) -> Result<Pixels, PictureFault> {
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if width.max(height) > MOST_SIDE || pixels > MOST_PIXELS {
        return Err(PictureFault::TooLarge(width, height));
    }
    if decoder.total_bytes() > MOST_MEMORY {
        return Err(PictureFault::TooDeep);
    }
    decoder.set_limits(limits()).map_err(|e| fault_of(&e))?;
    // A picture without a note of how the camera was held is upright.
    let held = decoder.orientation().ok();
    let mut image = DynamicImage::from_decoder(decoder).map_err(|e| fault_of(&e))?;
    if let Some(held) = held {
        image.apply_orientation(held);
    }
    Ok(on_white(image))
}

fn on_white(image: DynamicImage) -> Pixels {
    if !image.color().has_alpha() {
        return image.into_rgb8();
    }
    let image = image.into_rgba8();
    let mut pixels = RgbImage::new(image.width(), image.height());
    for (to, from) in pixels.pixels_mut().zip(image.pixels()) {
        let [r, g, b, a] = from.0;
        to.0 = [r, g, b].map(|c| over_white(c, a));
    }
    pixels
}

/// A channel laid over white.
fn over_white(channel: u8, alpha: u8) -> u8 {
    let (c, a) = (u32::from(channel), u32::from(alpha));
    let [.., low] = ((c * a + 255 * (255 - a) + 127) / 255).to_be_bytes();
    low
}

/// Counts the passes of a JPEG and sees that the last one ends (ITU-T T.81, annex B: start of scan is FF DA, end of image FF D9;
/// within a scan FF is always followed by 00 or a restart).
fn passes(bytes: &[u8]) -> Result<(), PictureFault> {
    let marks = |second: u8| {
        let pairs = bytes.windows(2).enumerate();
        pairs.filter_map(move |(at, pair)| (pair == [0xFF, second]).then_some(at))
    };
    let scans = marks(0xDA).count();
    if scans > MOST_SCANS {
        return Err(PictureFault::TooManyPasses(scans));
    }
    if marks(0xDA).next_back() > marks(0xD9).next_back() || scans == 0 {
        return Err(PictureFault::Cut);
    }
    Ok(())
}

fn fault_of(error: &ImageError) -> PictureFault {
    match error {
        ImageError::IoError(io) if io.kind() == ErrorKind::UnexpectedEof => PictureFault::Cut,
        ImageError::Limits(_) => PictureFault::TooDeep,
        ImageError::Decoding(_)
        | ImageError::Encoding(_)
        | ImageError::Parameter(_)
        | ImageError::Unsupported(_)
        | ImageError::IoError(_) => PictureFault::Damaged(error.to_string()),
    }
}

/// What the first bytes give away about something that is no picture we read.
fn other_kind(bytes: &[u8]) -> &'static str {
    let starts: [(&[u8], &str); 10] = [
        (b"", "an empty file"),
        (b"GIF8", "a GIF picture"),
        (b"BM", "a BMP picture"),
        (b"II*\0", "a TIFF picture"),
        (b"MM\0*", "a TIFF picture"),
        (b"%PDF", "a PDF document"),
        (b"<svg", "an SVG drawing"),
        (b"<?xml", "an XML text or an SVG drawing"),
        (b"(format", "a plan; open it instead"),
        (b"PK\x03\x04", "a zip archive"),
    ];
    let within = |from: usize, word: &[u8]| {
        bytes
            .get(from..from + word.len())
            .is_some_and(|part| part == word)
    };
    if within(0, b"RIFF") && within(8, b"WEBP") {
        return "a WebP picture";
    }
    if within(4, b"ftyp") {
        return "a HEIC or AVIF picture, or a film";
    }
    let known = starts
        .iter()
        .find(|(start, _)| bytes == *start || (!start.is_empty() && bytes.starts_with(start)));
    known.map_or("no picture that is known here", |(_, what)| what)
}

/// The picture written anew, as PNG where it was one and that is short enough, else as JPEG, shrunk until a plan can carry it.
fn kept(mut pixels: Pixels, drawn: bool) -> Result<(Picture, Pixels), PictureFault> {
    if drawn && let Some(bytes) = encoded(|out| pixels.write_with_encoder(PngEncoder::new(out))) {
        return Ok((Picture::new(bytes), pixels));
    }
    for _ in 0..5 {
        let jpeg = encoded(|out| {
            pixels.write_with_encoder(JpegEncoder::new_with_quality(out, JPEG_QUALITY))
        });
        if let Some(bytes) = jpeg {
            return Ok((Picture::new(bytes), pixels));
        }
        let most = pixels.width().max(pixels.height()) / 2;
        pixels = shrunk(pixels, most.max(1));
    }
    Err(PictureFault::CannotBeKept)
}

/// Lines of a scan stay clean, and the bytes few.
const JPEG_QUALITY: u8 = 88;

fn encoded(write: impl FnOnce(&mut Vec<u8>) -> Result<(), ImageError>) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    write(&mut bytes).ok()?;
    (bytes.len() <= Picture::MOST_BYTES).then_some(bytes)
}
