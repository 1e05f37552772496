//! Drives the picture to trace: choosing its file, sizing it by two points, moving, turning, fading, hiding and taking it away; and
//! what becomes of files that are no such picture. Pictures are made here, so that no big file lies beside the tests.

use std::path::{Path, PathBuf};

use aislewright::editor::pictures::{
    MOST_KEPT_SIDE, MOST_PIXELS, PictureFault, pixels_of, taken_in,
};
use aislewright::geometry::Point;
use aislewright::plan::{Library, Picture, Plan, Tracing};
use aislewright::storage;
use egui::{Key, Modifiers, Theme, vec2};
use egui_kittest::kittest::Queryable as _;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::{Rgb, RgbImage, Rgba, RgbaImage};

use crate::harness::{App, app, editor_over, example, plan, settle, window};

/// A drawing of a room of 800 by 400 pixels with walls 10 pixels thick, 20 pixels in from the edge.
fn drawing() -> RgbImage {
    RgbImage::from_fn(800, 400, |x, y| {
        let wall = |v: u32, most: u32| (20..30).contains(&v) || (most - 30..most - 20).contains(&v);
        let inside = (20..780).contains(&x) && (20..380).contains(&y);
        if inside && (wall(x, 800) || wall(y, 400)) {
            Rgb([40, 40, 60])
        } else {
            Rgb([250, 248, 240])
        }
    })
}

fn png(image: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    image
        .write_with_encoder(PngEncoder::new(&mut bytes))
        .unwrap();
    bytes
}

fn jpeg(image: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut bytes, 90);
    image.write_with_encoder(encoder).unwrap();
    bytes
}

#[expect(clippy::disallowed_methods, reason = "a test makes its own files")]
fn file(folder: &Path, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, bytes).unwrap();
    path
}

/// Opens the panel and types a picture's path into the question.
fn choose(app: &mut App, path: &Path) {
    if app.query_by_label("Choose a picture…").is_none() {
        app.key_press_modifiers(Modifiers::SHIFT, Key::F6);
        settle(app);
    }
    app.get_by_label("Choose a picture…").click();
    settle(app);
    answer(app, path);
}

/// Answers the question for a picture's path.
fn answer(app: &mut App, path: &Path) {
    app.get_by_label("PNG or JPEG file").focus();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.get_by_label("PNG or JPEG file")
        .type_text(&path.display().to_string());
    app.run();
    app.get_by_label("Lay it under the floor").click();
    settle(app);
    settle(app);
}

/// The example with the drawing laid under it.
fn laid() -> (App, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let path = file(folder.path(), "old drawing.png", &png(&drawing()));
    let mut app = app();
    choose(&mut app, &path);
    (app, folder)
}

fn tracing(app: &App) -> Tracing {
    plan(app).traced().unwrap().0.clone()
}

fn click_floor(app: &mut App, at: Point) {
    let pos = app.state().camera().unwrap().to_screen(at);
    app.hover_at(pos);
    app.run();
    app.drag_at(pos);
    app.run();
    app.drop_at(pos);
    settle(app);
}

fn fill_in(app: &mut App, label: &str, text: &str) {
    app.get_by_label(label).focus();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.run();
    app.get_by_label(label).type_text(text);
    app.run();
    app.key_press(Key::Enter);
    settle(app);
}

fn undo(app: &mut App) {
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(app);
}

#[test]
fn a_picture_is_laid_and_sized_by_two_points() {
    let (mut app, _folder) = laid();
    let before = tracing(&app);
    assert_eq!(before.name.as_str(), "old drawing.png");
    app.get_by_label_contains("Click one end of something");
    // Two points a quarter of the picture's width apart, which truly are 5 m.
    let quarter = before.width.mm() / 4.0;
    let a = Point::new(before.at.0.mm(), before.at.1.mm());
    click_floor(&mut app, a);
    app.get_by_label("Click its other end.");
    click_floor(&mut app, a + Point::new(quarter, 0.0));
    fill_in(&mut app, "true length", "5 m");
    let after = tracing(&app);
    // A point of the screen is a few millimetres: the two clicks may be off by that.
    let off = (after.width.mm() - 20_000.0).abs();
    assert!(
        off < 60.0,
        "the whole width is four times 5 m: {off} mm off"
    );
    assert!(
        (after.at.0 - before.at.0).mm().abs() < 20.0,
        "the first point stays"
    );
    assert_eq!(app.state().session().undo_len(), 2, "laid, and sized");
    undo(&mut app);
    assert_eq!(tracing(&app), before);
    undo(&mut app);
    assert!(plan(&app).traced().is_none());
}

#[test]
fn it_is_dragged_as_one_step() {
    let (mut app, _folder) = laid();
    app.get_by_label("Move by dragging").click();
    settle(&mut app);
    let before = tracing(&app);
    let camera = app.state().camera().unwrap();
    let from = camera.view().center();
    let to = from + vec2(60.0, -30.0);
    app.drag_at(from);
    app.run();
    app.hover_at(to);
    app.run();
    assert_eq!(
        tracing(&app),
        before,
        "nothing is written while the button is down"
    );
    app.drop_at(to);
    settle(&mut app);
    let by = camera.drag(to - from);
    let after = tracing(&app);
    assert!(((after.at.0 - before.at.0).mm() - by.x).abs() < 0.01);
    assert!(((after.at.1 - before.at.1).mm() - by.y).abs() < 0.01);
    assert_eq!(app.state().session().undo_len(), 2);
    assert!(
        app.state().selection().is_empty(),
        "nothing on the floor was taken hold of"
    );
    // Escape gives the pointer back to the floor.
    app.key_press(Key::Escape);
    settle(&mut app);
    assert!(app.query_by_label_contains("Rack R1").is_some());
}

/// A picture turned by 7 degrees whose upper edge is then marked lies level again.
#[test]
fn two_points_make_it_level() {
    let (mut app, _folder) = laid();
    fill_in(&mut app, "turned by", "7");
    let turned = tracing(&app);
    assert!((turned.turn.degrees() - 7.0).abs() < 1e-9);
    app.get_by_label("Level by two points").click();
    settle(&mut app);
    let (sin, cos) = turned.turn.sin_cos();
    let a = Point::new(turned.at.0.mm(), turned.at.1.mm());
    let b = a + Point::new(cos, sin) * (turned.width.mm() * 0.4);
    click_floor(&mut app, a);
    click_floor(&mut app, b);
    let level = tracing(&app).turn.degrees();
    let off = level.min(360.0 - level);
    assert!(off < 0.3, "{off} degrees off level");
    assert_eq!(app.state().session().undo_len(), 3);
}

#[test]
fn every_figure_is_typed_too_and_each_is_one_step() {
    let (mut app, _folder) = laid();
    fill_in(&mut app, "width", "40 ft");
    assert!((tracing(&app).width.mm() - 12_192.0).abs() < 1e-9);
    fill_in(&mut app, "to the right", "10 ft");
    fill_in(&mut app, "up", "-3 ft");
    let at = tracing(&app).at;
    assert!((at.0.mm() - 3_048.0).abs() < 1e-9 && (at.1.mm() + 914.4).abs() < 1e-9);
    app.get_by_label("Show the picture").click();
    settle(&mut app);
    assert!(tracing(&app).hidden);
    app.get_by_label("Take the picture away").click();
    settle(&mut app);
    assert!(plan(&app).traced().is_none());
    app.get_by_label_contains("No picture lies under the floor yet.");
    assert_eq!(app.state().session().undo_len(), 6);
    for _ in 0..6 {
        undo(&mut app);
    }
    assert_eq!(*plan(&app), example());
}

#[test]
fn a_wrong_figure_is_said_and_changes_nothing() {
    let (mut app, _folder) = laid();
    let before = tracing(&app);
    fill_in(&mut app, "width", "two parrots");
    assert_eq!(tracing(&app), before);
    fill_in(&mut app, "width", "0 mm");
    assert_eq!(tracing(&app), before, "the document refuses it");
    app.get_by_label_contains("a picture is 10 mm to 1 km wide");
}

/// Everything that is no picture is refused with a sentence, in the question it was typed into; the plan is as it was.
#[test]
fn what_is_no_picture_is_refused_and_the_plan_untouched() {
    let folder = tempfile::tempdir().unwrap();
    let whole = png(&drawing());
    let cut = &whole[..whole.len() / 2];
    for (name, bytes, says) in [
        (
            "notes.png",
            b"dear diary".as_slice(),
            "Only PNG and JPEG pictures can be traced",
        ),
        ("empty.png", b"", "an empty file"),
        ("cut.png", cut, "The picture"),
        ("moving.jpg", b"GIF89a\0\0\0\0", "a GIF picture"),
    ] {
        let path = file(folder.path(), name, bytes);
        let mut app = app();
        choose(&mut app, &path);
        app.get_by_label_contains(says);
        assert_eq!(*plan(&app), example(), "{name}");
        assert_eq!(app.state().session().undo_len(), 0, "{name}");
    }
    let mut app = app();
    choose(&mut app, &folder.path().join("nowhere.png"));
    app.get_by_label_contains("nowhere.png cannot be read");
    // The question is still open: the right name can be typed at once, whatever its ending says.
    let path = file(folder.path(), "photo.png", &jpeg(&drawing()));
    answer(&mut app, &path);
    assert!(plan(&app).traced().is_some());
}

/// Chunks of a PNG with their CRC-32 (ISO/IEC 15948, 5.3).
fn chunk(out: &mut Vec<u8>, kind: [u8; 4], data: &[u8]) {
    let mut body = kind.to_vec();
    body.extend(data);
    out.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
    out.extend(&body);
    out.extend(crc32fast::hash(&body).to_be_bytes());
}

/// A PNG whose header promises that size and whose data are nearly nothing.
fn promising(width: u32, height: u32, depth: u8) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut header = width.to_be_bytes().to_vec();
    header.extend(height.to_be_bytes());
    header.extend([depth, 6, 0, 0, 0]);
    chunk(&mut bytes, *b"IHDR", &header);
    chunk(&mut bytes, *b"IDAT", &[0x78, 0x9C, 0x03, 0, 0, 0, 0, 1]);
    chunk(&mut bytes, *b"IEND", &[]);
    bytes
}

#[test]
fn a_header_that_promises_gigabytes_is_refused_before_any_pixel() {
    assert_eq!(
        pixels_of(&promising(8_000, 8_000, 8)),
        Err(PictureFault::TooLarge(8_000, 8_000)),
        "64 million pixels"
    );
    for (w, h) in [(60_000, 60_000), (0x7FFF_FFFF, 0x7FFF_FFFF), (30_000, 2)] {
        let fault = pixels_of(&promising(w, h, 8)).unwrap_err();
        assert!(
            matches!(fault, PictureFault::TooLarge(..) | PictureFault::TooDeep),
            "{w} by {h}: {fault}"
        );
    }
    // 36 million pixels of 8 bytes are more memory than may be taken.
    assert_eq!(
        pixels_of(&promising(6_000, 6_000, 16)),
        Err(PictureFault::TooDeep)
    );
    // A baseline JPEG whose frame header says 65,500 by 65,500 (ITU-T T.81, B.2.2).
    let mut bytes = jpeg(&drawing());
    let frame = bytes.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
    bytes[frame + 5..frame + 9].copy_from_slice(&[0xFF, 0xDC, 0xFF, 0xDC]);
    let fault = pixels_of(&bytes).unwrap_err();
    assert!(!fault.to_string().is_empty());
    assert!(
        matches!(
            fault,
            PictureFault::TooLarge(..) | PictureFault::TooDeep | PictureFault::Damaged(_)
        ),
        "{fault:?}"
    );
}

#[test]
fn a_jpeg_of_many_passes_is_refused_before_it_is_read() {
    let mut bytes = jpeg(&drawing());
    let scan = bytes.windows(2).position(|w| w == [0xFF, 0xDA]).unwrap();
    let pass: Vec<u8> = bytes[scan..scan + 14].to_vec();
    for _ in 0..30 {
        bytes.splice(scan..scan, pass.iter().copied());
    }
    assert_eq!(pixels_of(&bytes), Err(PictureFault::TooManyPasses(31)));
}

/// Every cut and many flipped bytes of both kinds: an answer, never a panic, and no more pixels than are allowed.
#[test]
fn damaged_pictures_always_get_an_answer() {
    let small = RgbImage::from_fn(37, 23, |x, y| {
        let [a, b, ..] = (x * 31 + y * 17).to_le_bytes();
        Rgb([a, b, 200])
    });
    for whole in [png(&small), jpeg(&small)] {
        for end in 0..whole.len() {
            // A cut that loses only the end mark may still be read.
            if let Ok(pixels) = pixels_of(&whole[..end]) {
                assert_eq!((pixels.width(), pixels.height()), (37, 23));
            }
        }
        assert!(pixels_of(&whole[..whole.len() / 2]).is_err());
        for k in 0..whole.len() {
            let mut flipped = whole.clone();
            flipped[k] ^= 0x5A;
            match pixels_of(&flipped) {
                Ok(p) => assert!(u64::from(p.width()) * u64::from(p.height()) <= MOST_PIXELS),
                Err(fault) => assert!(!fault.to_string().is_empty()),
            }
        }
    }
}

#[test]
fn what_a_plan_carries_is_upright_small_and_on_white() {
    let wide = RgbImage::from_pixel(6_000, 60, Rgb([10, 200, 30]));
    let (picture, pixels) = taken_in(&jpeg(&wide)).unwrap();
    assert_eq!(pixels.width(), MOST_KEPT_SIDE);
    assert!(picture.bytes().len() <= Picture::MOST_BYTES);
    assert!(picture.bytes().starts_with(b"\xFF\xD8\xFF"));
    let mut bytes = Vec::new();
    RgbaImage::from_pixel(2, 1, Rgba([0, 0, 0, 128]))
        .write_with_encoder(PngEncoder::new(&mut bytes))
        .unwrap();
    // Black at an opacity of 128 of 255 over white is 127 (Porter and Duff, source over).
    assert_eq!(pixels_of(&bytes).unwrap().get_pixel(0, 0).0, [127; 3]);
    // A JPEG held on its side: Exif orientation 6 is to be turned a quarter clockwise (CIPA DC-008, tag 0112).
    let mut bytes = jpeg(&RgbImage::from_pixel(40, 20, Rgb([1, 2, 3])));
    let exif = b"\xFF\xE1\x00\x22Exif\0\0MM\0\x2A\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
    bytes.splice(2..2, exif.iter().copied());
    let (picture, pixels) = taken_in(&bytes).unwrap();
    assert_eq!((pixels.width(), pixels.height()), (20, 40));
    let noted = picture.bytes().windows(4).any(|w| w == b"Exif");
    assert!(!noted, "what the camera noted stays behind");
}

/// The picture is text at the end of the file, in short lines, and comes back byte for byte; the rest of the plan is before it.
#[test]
fn the_picture_travels_in_the_plans_one_file() {
    let (app, _folder) = laid();
    let library = Library::builtin().unwrap();
    let text = storage::text_of(plan(&app)).unwrap();
    let back = storage::plan_of(&library, "", text.as_bytes()).unwrap();
    assert!(back.faults.is_empty());
    assert_eq!(back.plan, *plan(&app));
    let picture = text.find("\n  picture: [").unwrap();
    assert!(text[..picture].contains("tracing: (name: \"old drawing.png\""));
    assert!(!text[picture..].contains("items"));
    assert!(text[picture..].lines().all(|line| line.len() <= 120));
    // Steps share the bytes, and only the one that laid it writes them down.
    let (tracing, bytes) = plan(&app).traced().unwrap();
    let moved = Tracing {
        hidden: true,
        ..tracing.clone()
    };
    let edit = aislewright::plan::Edit::Trace(Some(Box::new(moved)));
    let next = plan(&app).edited(&library.stock, &edit).unwrap();
    assert!(next.traced().unwrap().1.is(bytes));
    let line = storage::recorded_line(&storage::Recorded::Edit(edit)).unwrap();
    assert!(line.len() < 300, "{line}");
}

#[test]
fn a_damaged_picture_in_a_plan_is_said_and_the_plan_opens() {
    let (app, _folder) = laid();
    let text = storage::text_of(plan(&app)).unwrap();
    let at = text.find("\n  picture: [").unwrap();
    let library = Library::builtin().unwrap();
    // A letter that is none of base64.
    let broken = format!(
        "{}{}",
        &text[..at + 30],
        text[at + 30..].replacen(['A', 'B', 'g'], "!", 1)
    );
    let error = storage::plan_of(&library, "room", broken.as_bytes()).unwrap_err();
    assert!(error.to_string().contains("no base64 text"), "{error}");
    // Good base64 whose picture is cut off behind its first lines.
    let lines: Vec<&str> = text[at..].lines().collect();
    let short = format!("{}{}\n  ],\n)\n", &text[..at], lines[..4].join("\n"));
    let opened = storage::plan_of(&library, "room", short.as_bytes()).unwrap();
    assert!(opened.faults.is_empty());
    let mut app = window(
        editor_over(opened.plan, None),
        vec2(1600.0, 1000.0),
        Theme::Light,
    );
    app.key_press_modifiers(Modifiers::SHIFT, Key::F6);
    settle(&mut app);
    settle(&mut app);
    app.get_by_label_contains("The picture ends before it is complete.");
}

#[test]
fn what_is_copied_to_another_plan_leaves_the_picture_behind() {
    let (app, _folder) = laid();
    let plan: &Plan = plan(&app);
    let racks = plan.items().iter().map(|(id, _)| id);
    assert!(
        plan.excerpt(racks, |_| Vec::new())
            .unwrap()
            .traced()
            .is_none()
    );
}

/// Writes pictures: `PICTURES=/tmp/tracing cargo test --test editor pictures_of_the_tracing`.
#[test]
fn pictures_of_the_tracing() {
    let folder = std::env::var_os("PICTURES").map(PathBuf::from);
    let (mut app, _folder) = laid();
    let at = tracing(&app).at;
    let a = Point::new(at.0.mm(), at.1.mm());
    click_floor(&mut app, a + Point::new(-3_000.0, 500.0));
    click_floor(&mut app, a + Point::new(2_000.0, 500.0));
    app.remove_cursor();
    app.run();
    let with = app.render().unwrap();
    if let Some(folder) = &folder {
        with.save(folder.join("tracing.png")).unwrap();
    }
    app.get_by_label("Show the picture").click();
    settle(&mut app);
    app.remove_cursor();
    app.run();
    let without = app.render().unwrap();
    let differ = with.pixels().zip(without.pixels()).filter(|(a, b)| a != b);
    assert!(differ.count() > 20_000, "the picture is seen");
}
