//! Pictures without a screen: fills egui's triangles into pixels on the processor, so that a picture of the editor can be made
//! on any machine, with no window system and no graphics driver.
//!
//! Knows egui's meshes and textures only. It reads no clock and no file, and the same input gives the same pixels. Shapes that
//! bring their own drawing code for a graphics card (paint callbacks) are left out.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "pixel coordinates: each cast is behind a clamp to the picture or the texture, and Rust's float casts saturate"
)]

use std::collections::BTreeMap;
use std::fmt;
use std::mem;

use egui::epaint::{Primitive, Vertex};
use egui::{
    ClippedPrimitive, Color32, ImageData, Mesh, Pos2, RawInput, Rect, TextureFilter, TextureId,
    TextureOptions, TextureWrapMode, TexturesDelta, Vec2,
};
use image::{ExtendedColorType, ImageEncoder as _, RgbaImage};

/// The largest picture that is made, in pixels: 100 million, which is 400 MB.
pub const MAX_PIXELS: u64 = 100_000_000;

/// The largest side of egui's font texture, in texels.
const MAX_TEXTURE_SIDE: usize = 8192;

/// Seconds that pass between two frames of [`picture`], long enough for every animation to end.
const FRAME_STEP_S: f64 = 1.0;

/// Why a picture could not be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PictureError {
    /// The picture would have more than [`MAX_PIXELS`] pixels, or a size that is no number.
    TooLarge {
        /// Width asked for, in pixels.
        width: u64,
        /// Height asked for, in pixels.
        height: u64,
    },
    /// Nothing to draw: a width or a height of zero.
    Empty,
    /// The pixels could not be written as PNG; holds the encoder's own words.
    Encode(String),
}

impl fmt::Display for PictureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLarge { width, height } => write!(
                f,
                "a picture of {width} by {height} pixels is too large; choose a size or scale that gives at most {} million pixels",
                MAX_PIXELS / 1_000_000
            ),
            Self::Empty => {
                f.write_str("a picture needs a width and a height of at least one pixel")
            }
            Self::Encode(why) => write!(f, "the picture could not be written as PNG: {why}"),
        }
    }
}

impl std::error::Error for PictureError {}

/// Runs `ui` for `frames` frames (at least one), so that layout and animations settle, and gives a picture of the last one.
///
/// `size` is in points, `pixels_per_point` the scale. The editor's [`theme`](super::theme) is in force, in its light form unless
/// `ui` asks for another by `ui.ctx().set_theme(..)`, which takes effect in the frame after. What is left uncovered shows the
/// theme's panel colour.
pub fn picture(
    size: Vec2,
    pixels_per_point: f32,
    frames: usize,
    mut ui: impl FnMut(&mut egui::Ui),
) -> Result<RgbaImage, PictureError> {
    let size_px = size_px(size, pixels_per_point)?;
    let ctx = egui::Context::default();
    super::theme::apply(&ctx);
    ctx.set_theme(egui::Theme::Light);
    let mut raster = Raster::default();
    let mut last = None;
    for frame in 0..frames.max(1) {
        let mut output = ctx.run_ui(still_input(size, pixels_per_point, frame), &mut ui);
        raster.apply(&mut output.textures_delta);
        last = Some((output.shapes, output.pixels_per_point));
    }
    let (shapes, scale) = last.unwrap_or_default();
    let background = ctx.global_style().visuals.panel_fill;
    raster.draw(&ctx.tessellate(shapes, scale), size_px, scale, background)
}

/// The picture as the bytes of a PNG file.
pub fn png(picture: &RgbaImage) -> Result<Vec<u8>, PictureError> {
    let mut bytes = Vec::new();
    image::codecs::png::PngEncoder::new(&mut bytes)
        .write_image(
            picture.as_raw(),
            picture.width(),
            picture.height(),
            ExtendedColorType::Rgba8,
        )
        .map_err(|error| PictureError::Encode(error.to_string()))?;
    Ok(bytes)
}

/// The size in pixels of a picture of `size` points, checked against [`MAX_PIXELS`].
fn size_px(size: Vec2, pixels_per_point: f32) -> Result<[u32; 2], PictureError> {
    let side = |points: f32| f64::from(points) * f64::from(pixels_per_point);
    let (width, height) = (side(size.x).round() as u64, side(size.y).round() as u64);
    if !side(size.x).is_finite() || !side(size.y).is_finite() {
        return Err(PictureError::TooLarge { width, height });
    }
    checked_size(width, height)
}

fn checked_size(width: u64, height: u64) -> Result<[u32; 2], PictureError> {
    if width == 0 || height == 0 {
        return Err(PictureError::Empty);
    }
    let too_large = PictureError::TooLarge { width, height };
    if width.saturating_mul(height) > MAX_PIXELS {
        return Err(too_large);
    }
    match (u32::try_from(width), u32::try_from(height)) {
        (Ok(width), Ok(height)) => Ok([width, height]),
        _ => Err(too_large),
    }
}

/// Input of a frame in which nobody does anything.
fn still_input(size: Vec2, pixels_per_point: f32, frame: usize) -> RawInput {
    let mut input = RawInput {
        screen_rect: Some(Rect::from_min_size(Pos2::ZERO, size)),
        max_texture_side: Some(MAX_TEXTURE_SIDE),
        time: Some(frame as f64 * FRAME_STEP_S),
        ..RawInput::default()
    };
    let root = input.viewports.entry(input.viewport_id).or_default();
    root.native_pixels_per_point = Some(pixels_per_point);
    input
}

/// A renderer with its textures. Feed it every frame's texture changes with [`Raster::apply`], and draw with [`Raster::draw`].
#[derive(Debug, Default)]
pub struct Raster {
    textures: BTreeMap<TextureId, Texture>,
    /// Freed by the last change, and still wanted by the frame that freed them.
    to_free: Vec<TextureId>,
}

impl Raster {
    /// Takes over one frame's texture changes and leaves `deltas` empty. A change that does not fit its texture is left out.
    pub fn apply(&mut self, deltas: &mut TexturesDelta) {
        for id in self.to_free.drain(..) {
            self.textures.remove(&id);
        }
        let changes: BTreeMap<_, _> = mem::take(&mut deltas.set).into_iter().collect();
        for (id, change) in changes
            .into_iter()
            .flat_map(|(id, list)| list.into_iter().map(move |one| (id, one)))
        {
            let ImageData::Color(image) = &change.image;
            match change.pos {
                None => {
                    self.textures
                        .insert(id, Texture::new(image, change.options));
                }
                Some(at) => {
                    if let Some(texture) = self.textures.get_mut(&id) {
                        texture.patch(at, image);
                    }
                }
            }
        }
        self.to_free = mem::take(&mut deltas.free).into_iter().collect();
    }

    /// Draws triangles made by `egui::Context::tessellate` over `background`. Triangles with an index, a position or a texture
    /// that does not exist are skipped.
    pub fn draw(
        &mut self,
        primitives: &[ClippedPrimitive],
        size_px: [u32; 2],
        pixels_per_point: f32,
        background: Color32,
    ) -> Result<RgbaImage, PictureError> {
        let [width, height] = checked_size(u64::from(size_px[0]), u64::from(size_px[1]))?;
        let mut canvas = Canvas::new(width as usize, height as usize, background);
        for primitive in primitives {
            let Primitive::Mesh(mesh) = &primitive.primitive else {
                continue;
            };
            let Some(texture) = self.textures.get(&mesh.texture_id) else {
                continue;
            };
            let clip = canvas.clip(primitive.clip_rect, pixels_per_point);
            draw_mesh(&mut canvas, mesh, texture, clip, pixels_per_point);
        }
        Ok(canvas.finish(width, height))
    }
}

/// Texels as egui gives them: premultiplied, gamma-encoded.
struct Texture {
    width: usize,
    height: usize,
    texels: Vec<Color32>,
    options: TextureOptions,
}

impl fmt::Debug for Texture {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Texture({} by {} texels)", self.width, self.height)
    }
}

impl Texture {
    fn new(image: &egui::ColorImage, options: TextureOptions) -> Self {
        Self {
            width: image.width(),
            height: image.height(),
            texels: image.pixels.clone(),
            options,
        }
    }

    /// Overwrites a part, if it lies inside.
    fn patch(&mut self, [left, top]: [usize; 2], image: &egui::ColorImage) {
        if image.width() == 0 || left.saturating_add(image.width()) > self.width {
            return;
        }
        for (row, source) in image.pixels.chunks_exact(image.width()).enumerate() {
            let start = (top + row).saturating_mul(self.width).saturating_add(left);
            if let Some(target) = self
                .texels
                .get_mut(start..start.saturating_add(source.len()))
            {
                target.copy_from_slice(source);
            }
        }
    }

    fn texel(&self, x: i64, y: i64) -> [f32; 4] {
        let x = wrapped(x, self.width, self.options.wrap_mode);
        let y = wrapped(y, self.height, self.options.wrap_mode);
        self.texels
            .get(y * self.width + x)
            .map_or([0.0; 4], |texel| channels(*texel))
    }

    /// The colour at a texture coordinate; between texels linear unless the texture asks for the nearest one.
    fn sample(&self, uv: [f32; 2]) -> [f32; 4] {
        let (x, y) = (uv[0] * self.width as f32, uv[1] * self.height as f32);
        if self.options.magnification == TextureFilter::Nearest {
            return self.texel(x.floor() as i64, y.floor() as i64);
        }
        let (x, y) = (x - 0.5, y - 0.5);
        let (left, top) = (x.floor(), y.floor());
        let (right_share, bottom_share) = (x - left, y - top);
        let (left, top) = (left as i64, top as i64);
        let upper = mix(
            self.texel(left, top),
            self.texel(left.saturating_add(1), top),
            right_share,
        );
        let below = top.saturating_add(1);
        let lower = mix(
            self.texel(left, below),
            self.texel(left.saturating_add(1), below),
            right_share,
        );
        mix(upper, lower, bottom_share)
    }
}

/// A texel index brought into `0..count`; 0 when there is none.
fn wrapped(index: i64, count: usize, mode: TextureWrapMode) -> usize {
    let count = i64::try_from(count).unwrap_or(i64::MAX);
    if count == 0 {
        return 0;
    }
    let inside = match mode {
        TextureWrapMode::ClampToEdge => index.max(0).min(count - 1),
        TextureWrapMode::Repeat => index.rem_euclid(count),
        TextureWrapMode::MirroredRepeat => {
            let there_and_back = index.rem_euclid(count.saturating_mul(2));
            there_and_back.min(count.saturating_mul(2) - 1 - there_and_back)
        }
    };
    usize::try_from(inside).unwrap_or(0)
}

fn channels(colour: Color32) -> [f32; 4] {
    colour.to_array().map(f32::from)
}

fn mix(a: [f32; 4], b: [f32; 4], share: f32) -> [f32; 4] {
    std::array::from_fn(|i| a[i] + (b[i] - a[i]) * share)
}

/// Texel times vertex colour, both in 0 to 255.
fn tint(texel: [f32; 4], colour: [f32; 4]) -> [f32; 4] {
    std::array::from_fn(|i| texel[i] * colour[i] / 255.0)
}

/// The part of the picture that may be painted, in pixels; right and bottom are excluded.
#[derive(Clone, Copy)]
struct Clip {
    left: usize,
    top: usize,
    right: usize,
    bottom: usize,
}

/// Premultiplied pixels, rows from the top.
struct Canvas {
    width: usize,
    height: usize,
    pixels: Vec<Color32>,
}

impl Canvas {
    fn new(width: usize, height: usize, background: Color32) -> Self {
        Self {
            width,
            height,
            pixels: vec![background; width * height],
        }
    }

    /// egui's clip rectangle in whole pixels, rounded as its own renderers do.
    fn clip(&self, rect: Rect, pixels_per_point: f32) -> Clip {
        let whole = |points: f32, limit: usize| {
            (points * pixels_per_point)
                .round()
                .max(0.0)
                .min(limit as f32) as usize
        };
        Clip {
            left: whole(rect.min.x, self.width),
            top: whole(rect.min.y, self.height),
            right: whole(rect.max.x, self.width),
            bottom: whole(rect.max.y, self.height),
        }
    }

    fn row(&mut self, y: usize, left: usize, right: usize) -> &mut [Color32] {
        let start = y * self.width;
        self.pixels
            .get_mut(start + left..start + right)
            .unwrap_or_default()
    }

    fn finish(self, width: u32, height: u32) -> RgbaImage {
        let bytes = self
            .pixels
            .iter()
            .flat_map(Color32::to_srgba_unmultiplied)
            .collect();
        RgbaImage::from_raw(width, height, bytes).unwrap_or_default()
    }
}

/// Source over destination, both premultiplied and gamma-encoded, as egui's own renderers blend.
fn blend(target: &mut Color32, source: [f32; 4]) {
    let keep = 1.0 - source[3] / 255.0;
    let under = target.to_array();
    let [r, g, b, a] =
        std::array::from_fn(|i| (source[i] + f32::from(under[i]) * keep + 0.5) as u8);
    *target = Color32::from_rgba_premultiplied(r, g, b, a);
}

fn draw_mesh(
    canvas: &mut Canvas,
    mesh: &Mesh,
    texture: &Texture,
    clip: Clip,
    pixels_per_point: f32,
) {
    let corner = |index: &u32| {
        mesh.vertices
            .get(*index as usize)
            .map(|vertex| Corner::new(vertex, pixels_per_point))
    };
    for three in mesh.indices.chunks_exact(3) {
        if let [Some(a), Some(b), Some(c)] = [&three[0], &three[1], &three[2]].map(corner) {
            fill_triangle(canvas, &[a, b, c], texture, clip);
        }
    }
}

/// A triangle's corner in pixels.
#[derive(Clone, Copy)]
struct Corner {
    x: f64,
    y: f64,
    uv: [f32; 2],
    colour: Color32,
}

impl Corner {
    fn new(vertex: &Vertex, pixels_per_point: f32) -> Self {
        let scale = f64::from(pixels_per_point);
        Self {
            x: f64::from(vertex.pos.x) * scale,
            y: f64::from(vertex.pos.y) * scale,
            uv: [vertex.uv.x, vertex.uv.y],
            colour: vertex.color,
        }
    }

    /// Texture coordinate and colour as one list, to be interpolated alike.
    fn values(&self) -> [f32; 6] {
        let [r, g, b, a] = channels(self.colour);
        [self.uv[0], self.uv[1], r, g, b, a]
    }
}

/// Paints the pixels whose centre lies in the triangle. A centre exactly on an edge belongs to the triangle on its right or
/// below, so that triangles that share an edge neither overlap nor leave a gap.
fn fill_triangle(canvas: &mut Canvas, corners: &[Corner; 3], texture: &Texture, clip: Clip) {
    if corners.iter().any(|c| !c.x.is_finite() || !c.y.is_finite()) {
        return;
    }
    let flat = flat_colour(corners, texture);
    if flat.is_some_and(|colour| colour.iter().all(|channel| *channel <= 0.0)) {
        return;
    }
    let Some(plane) = Plane::through(corners) else {
        return;
    };
    let lowest = corners
        .iter()
        .fold(f64::INFINITY, |least, c| least.min(c.y));
    let highest = corners
        .iter()
        .fold(f64::NEG_INFINITY, |most, c| most.max(c.y));
    for y in
        first_centre(lowest, clip.top, clip.bottom)..first_centre(highest, clip.top, clip.bottom)
    {
        let Some((left, right)) = span(corners, y as f64 + 0.5) else {
            continue;
        };
        let left = first_centre(left, clip.left, clip.right);
        let right = first_centre(right, clip.left, clip.right);
        if left >= right {
            continue;
        }
        let row = canvas.row(y, left, right);
        match flat {
            Some(colour) => fill_flat(row, colour),
            None => fill_varied(row, &plane, left, y, texture),
        }
    }
}

/// The colour of the whole triangle when its corners do not differ, which is most of what egui draws.
fn flat_colour(corners: &[Corner; 3], texture: &Texture) -> Option<[f32; 4]> {
    let [a, b, c] = corners;
    let bits = |corner: &Corner| corner.uv.map(f32::to_bits);
    let same =
        a.colour == b.colour && a.colour == c.colour && bits(a) == bits(b) && bits(a) == bits(c);
    same.then(|| tint(texture.sample(a.uv), channels(a.colour)))
}

fn fill_flat(row: &mut [Color32], colour: [f32; 4]) {
    if colour[3] >= 255.0 {
        let [r, g, b, a] = colour.map(|channel| (channel + 0.5) as u8);
        row.fill(Color32::from_rgba_premultiplied(r, g, b, a));
    } else {
        for target in row {
            blend(target, colour);
        }
    }
}

fn fill_varied(row: &mut [Color32], plane: &Plane, left: usize, y: usize, texture: &Texture) {
    for (x, target) in row.iter_mut().enumerate() {
        let [u, v, r, g, b, a] = plane.at((left + x) as f64 + 0.5, y as f64 + 0.5);
        blend(target, tint(texture.sample([u, v]), [r, g, b, a]));
    }
}

/// The first pixel whose centre is at or after `edge`, kept within `from..=to`.
fn first_centre(edge: f64, from: usize, to: usize) -> usize {
    (edge - 0.5).ceil().max(from as f64).min(to as f64) as usize
}

/// Where the horizontal line at `y` enters and leaves the triangle.
fn span(corners: &[Corner; 3], y: f64) -> Option<(f64, f64)> {
    let mut ends: Option<(f64, f64)> = None;
    for (from, to) in [(0, 1), (1, 2), (2, 0)] {
        let (upper, lower) = in_order(&corners[from], &corners[to]);
        if upper.y <= y && y < lower.y {
            let x = upper.x + (y - upper.y) / (lower.y - upper.y) * (lower.x - upper.x);
            ends = Some(ends.map_or((x, x), |(left, right)| (left.min(x), right.max(x))));
        }
    }
    ends
}

/// Upper corner first: neighbours then compute the crossing with a shared edge from the same numbers and agree to the last bit.
fn in_order<'a>(a: &'a Corner, b: &'a Corner) -> (&'a Corner, &'a Corner) {
    if (b.y, b.x) < (a.y, a.x) {
        (b, a)
    } else {
        (a, b)
    }
}

/// Texture coordinate and colour as linear functions of the place.
struct Plane {
    x: f64,
    y: f64,
    start: [f32; 6],
    per_x: [f64; 6],
    per_y: [f64; 6],
}

impl Plane {
    /// None for a triangle without area.
    fn through([a, b, c]: &[Corner; 3]) -> Option<Self> {
        let (bx, by, cx, cy) = (b.x - a.x, b.y - a.y, c.x - a.x, c.y - a.y);
        let doubled_area = bx * cy - cx * by;
        if doubled_area.abs() < 1e-9 {
            return None;
        }
        let (start, at_b, at_c) = (a.values(), b.values(), c.values());
        let rise = |i: usize| (f64::from(at_b[i] - start[i]), f64::from(at_c[i] - start[i]));
        let per_x = std::array::from_fn(|i| (rise(i).0 * cy - rise(i).1 * by) / doubled_area);
        let per_y = std::array::from_fn(|i| (rise(i).1 * bx - rise(i).0 * cx) / doubled_area);
        Some(Self {
            x: a.x,
            y: a.y,
            start,
            per_x,
            per_y,
        })
    }

    fn at(&self, x: f64, y: f64) -> [f32; 6] {
        let (dx, dy) = (x - self.x, y - self.y);
        std::array::from_fn(|i| {
            (f64::from(self.start[i]) + dx * self.per_x[i] + dy * self.per_y[i]) as f32
        })
    }
}
