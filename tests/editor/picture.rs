//! The renderer against pixels worked out by hand.

use aislewright::editor::picture::{MAX_PIXELS, PictureError, Raster, picture, png};
use egui::epaint::{Primitive, Vertex};
use egui::{
    ClippedPrimitive, Color32, ColorImage, CornerRadius, ImageData, Mesh, Pos2, Rect, TextureId,
    TextureOptions, TexturesDelta, pos2, vec2,
};
use image::RgbaImage;

const WHITE: [u8; 4] = [255, 255, 255, 255];
const RED: [u8; 4] = [255, 0, 0, 255];

/// A renderer whose texture 0 has the white texel in its corner that plain triangles use, as egui promises.
fn raster_with(image: ColorImage, options: TextureOptions) -> Raster {
    let mut deltas = TexturesDelta::default();
    deltas.push(
        TextureId::default(),
        egui::epaint::ImageDelta::full(ImageData::Color(image.into()), options),
    );
    let mut raster = Raster::default();
    raster.apply(&mut deltas);
    assert!(deltas.is_empty(), "the changes are used up");
    raster
}

fn plain_raster() -> Raster {
    raster_with(
        ColorImage::filled([1, 1], Color32::WHITE),
        TextureOptions::LINEAR,
    )
}

fn mesh(corners: &[(f32, f32)], indices: &[u32], colour: Color32) -> Mesh {
    let vertices = corners
        .iter()
        .map(|(x, y)| Vertex {
            pos: pos2(*x, *y),
            uv: Pos2::ZERO,
            color: colour,
        })
        .collect();
    Mesh {
        indices: indices.to_vec(),
        vertices,
        texture_id: TextureId::default(),
    }
}

fn square(size: f32, colour: Color32) -> Mesh {
    mesh(
        &[(0.0, 0.0), (size, 0.0), (size, size), (0.0, size)],
        &[0, 1, 2, 0, 2, 3],
        colour,
    )
}

fn draw(raster: &mut Raster, meshes: Vec<Mesh>, clip: Rect, size: u32, scale: f32) -> RgbaImage {
    let primitives: Vec<_> = meshes
        .into_iter()
        .map(|mesh| ClippedPrimitive {
            clip_rect: clip,
            primitive: Primitive::Mesh(mesh),
        })
        .collect();
    raster
        .draw(&primitives, [size, size], scale, Color32::WHITE)
        .unwrap()
}

fn count(picture: &RgbaImage, colour: [u8; 4]) -> usize {
    picture.pixels().filter(|pixel| pixel.0 == colour).count()
}

/// Premultiplied source over (T. Porter and T. Duff, 1984): half red over white is 128 + 255 * (1 - 128/255) = 255 red and
/// 0 + 127 = 127 green. Both triangles of the square meet on its diagonal, whose pixels must be painted once.
#[test]
fn triangles_that_share_an_edge_cover_each_pixel_once() {
    let half_red = Color32::from_rgba_premultiplied(128, 0, 0, 128);
    let picture = draw(
        &mut plain_raster(),
        vec![square(8.0, half_red)],
        Rect::EVERYTHING,
        10,
        1.0,
    );
    assert_eq!(
        count(&picture, [255, 127, 127, 255]),
        64,
        "8 by 8 pixels, each blended once"
    );
    assert_eq!(count(&picture, WHITE), 36, "the rest is untouched");
}

/// A fan of triangles about a point on a pixel centre, the hardest case for shared edges.
#[test]
fn a_fan_about_a_pixel_centre_has_no_seams() {
    let corners = [(4.5, 4.5), (0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)];
    let fan = mesh(
        &corners,
        &[0, 1, 2, 0, 2, 3, 0, 3, 4, 0, 4, 1],
        Color32::from_rgba_premultiplied(128, 0, 0, 128),
    );
    let picture = draw(&mut plain_raster(), vec![fan], Rect::EVERYTHING, 9, 1.0);
    assert_eq!(
        count(&picture, [255, 127, 127, 255]),
        81,
        "every pixel once"
    );
}

#[test]
fn the_edge_rule_is_left_and_top_inside() {
    let centre_to_centre = mesh(
        &[(1.5, 1.5), (3.5, 1.5), (3.5, 3.5), (1.5, 3.5)],
        &[0, 1, 2, 0, 2, 3],
        Color32::RED,
    );
    let picture = draw(
        &mut plain_raster(),
        vec![centre_to_centre],
        Rect::EVERYTHING,
        5,
        1.0,
    );
    for (x, y, pixel) in picture.enumerate_pixels() {
        let inside = (1..3).contains(&x) && (1..3).contains(&y);
        assert_eq!(pixel.0, if inside { RED } else { WHITE }, "pixel {x}, {y}");
    }
}

#[test]
fn clipping_and_scale_are_in_points() {
    let clip = Rect::from_min_max(pos2(1.0, 2.0), pos2(3.0, 4.0));
    let picture = draw(
        &mut plain_raster(),
        vec![square(10.0, Color32::RED)],
        clip,
        10,
        2.0,
    );
    for (x, y, pixel) in picture.enumerate_pixels() {
        let inside = (2..6).contains(&x) && (4..8).contains(&y);
        assert_eq!(pixel.0, if inside { RED } else { WHITE }, "pixel {x}, {y}");
    }
}

/// Between two texels the colour is their mean; beyond the outer centres it stays (clamp to edge).
#[test]
fn textures_are_sampled_between_their_texels() {
    let image = ColorImage::new([2, 1], vec![Color32::BLACK, Color32::WHITE]);
    let textured = |options| {
        let mut quad = square(4.0, Color32::WHITE);
        for vertex in &mut quad.vertices {
            vertex.uv = pos2(vertex.pos.x / 4.0, vertex.pos.y / 4.0);
        }
        let picture = draw(
            &mut raster_with(image.clone(), options),
            vec![quad],
            Rect::EVERYTHING,
            4,
            1.0,
        );
        [0, 1, 2, 3].map(|x| picture.get_pixel(x, 1).0[0])
    };
    assert_eq!(
        textured(TextureOptions::LINEAR),
        [0, 64, 191, 255],
        "pixel centres at texel -0.25, 0.25, 0.75, 1.25"
    );
    assert_eq!(
        textured(TextureOptions::NEAREST),
        [0, 0, 255, 255],
        "no mixing"
    );
}

/// Corners at 0, 100 and 200 of red along 10 pixels: at the centre of pixel x the share is (x + 0.5) / 10.
#[test]
fn colours_change_evenly_between_corners() {
    let mut slope = square(10.0, Color32::BLACK);
    for vertex in slope
        .vertices
        .iter_mut()
        .filter(|vertex| vertex.pos.x > 5.0)
    {
        vertex.color = Color32::from_rgb(200, 0, 0);
    }
    let picture = draw(&mut plain_raster(), vec![slope], Rect::EVERYTHING, 10, 1.0);
    assert_eq!(
        [0, 4, 9].map(|x| picture.get_pixel(x, 7).0),
        [[10, 0, 0, 255], [90, 0, 0, 255], [190, 0, 0, 255]],
        "0.05, 0.45, 0.95 of 200"
    );
}

#[test]
fn what_does_not_exist_is_left_out() {
    let far = square(f32::MAX, Color32::RED);
    let mut wrong_texture = square(4.0, Color32::RED);
    wrong_texture.texture_id = TextureId::Managed(77);
    let meshes = vec![
        mesh(
            &[(0.0, 0.0), (4.0, 0.0), (0.0, 4.0)],
            &[0, 1, 9],
            Color32::RED,
        ),
        mesh(
            &[(0.0, 0.0), (f32::NAN, 0.0), (0.0, 4.0)],
            &[0, 1, 2],
            Color32::RED,
        ),
        mesh(
            &[(0.0, 0.0), (2.0, 2.0), (4.0, 4.0)],
            &[0, 1, 2],
            Color32::RED,
        ),
        mesh(&[(0.0, 0.0), (4.0, 0.0)], &[0, 1], Color32::RED),
        wrong_texture,
    ];
    let picture = draw(&mut plain_raster(), meshes, Rect::EVERYTHING, 4, 1.0);
    assert_eq!(
        count(&picture, WHITE),
        16,
        "nothing is painted, nothing fails"
    );
    let upside_down = Rect::from_min_max(pos2(3.0, 3.0), pos2(1.0, 1.0));
    assert_eq!(
        count(
            &draw(
                &mut plain_raster(),
                vec![square(4.0, Color32::RED)],
                upside_down,
                4,
                1.0
            ),
            WHITE
        ),
        16,
        "an empty clip"
    );
    assert_eq!(
        count(
            &draw(&mut plain_raster(), vec![far], Rect::EVERYTHING, 4, 1.0),
            RED
        ),
        16,
        "larger than any picture"
    );
}

/// A texture freed in a frame is still there for that frame's drawing, and gone in the next.
#[test]
fn a_freed_texture_lives_to_the_end_of_its_frame() {
    let mut raster = plain_raster();
    let mut free = TexturesDelta::default();
    free.free(TextureId::default());
    raster.apply(&mut free);
    let painted = |raster: &mut Raster| {
        count(
            &draw(
                raster,
                vec![square(4.0, Color32::RED)],
                Rect::EVERYTHING,
                4,
                1.0,
            ),
            RED,
        )
    };
    assert_eq!(painted(&mut raster), 16, "the same frame");
    raster.apply(&mut TexturesDelta::default());
    assert_eq!(painted(&mut raster), 0, "the next frame");
}

/// egui paints a rectangle on whole points without softened edges, so its pixels are exact; the text is black on white.
#[test]
fn a_scene_of_rectangles_text_and_clipping() {
    let scene = picture(vec2(100.0, 60.0), 1.0, 3, |ui| {
        let painter = ui.painter();
        painter.rect_filled(ui.max_rect(), CornerRadius::ZERO, Color32::WHITE);
        painter.rect_filled(
            Rect::from_min_size(pos2(10.0, 10.0), vec2(20.0, 5.0)),
            CornerRadius::ZERO,
            Color32::RED,
        );
        let half = painter.with_clip_rect(Rect::from_min_size(pos2(0.0, 30.0), vec2(50.0, 30.0)));
        half.rect_filled(
            Rect::from_min_size(pos2(40.0, 35.0), vec2(40.0, 4.0)),
            CornerRadius::ZERO,
            Color32::BLUE,
        );
        painter.text(
            pos2(60.0, 8.0),
            egui::Align2::LEFT_TOP,
            "HHH",
            egui::FontId::proportional(14.0),
            Color32::BLACK,
        );
    })
    .unwrap();
    assert_eq!(
        (scene.width(), scene.height()),
        (100, 60),
        "one pixel a point"
    );
    assert_eq!(scene.get_pixel(20, 12).0, RED, "inside the rectangle");
    assert_eq!(scene.get_pixel(20, 20).0, WHITE, "below it");
    assert_eq!(
        scene.get_pixel(45, 36).0,
        [0, 0, 255, 255],
        "left of the clip's edge"
    );
    assert_eq!(scene.get_pixel(55, 36).0, WHITE, "right of the clip's edge");
    let ink: Vec<_> = scene
        .enumerate_pixels()
        .filter(|(x, _, pixel)| *x >= 60 && pixel.0[0] < 100)
        .collect();
    assert!(
        ink.len() > 30,
        "the strokes of three letters: {} dark pixels",
        ink.len()
    );
    assert!(
        ink.iter().all(|(_, y, _)| (8..30).contains(y)),
        "they stand where they were put"
    );
    assert_eq!(scene.get_pixel(98, 58).0, WHITE, "far from everything");
}

#[test]
fn the_same_scene_gives_the_same_picture_at_twice_the_size() {
    let scene = |scale| {
        picture(vec2(40.0, 20.0), scale, 2, |ui| {
            ui.painter().rect_filled(
                Rect::from_min_size(pos2(10.0, 5.0), vec2(20.0, 10.0)),
                CornerRadius::ZERO,
                Color32::RED,
            );
        })
        .unwrap()
    };
    assert_eq!(count(&scene(1.0), RED), 200, "20 by 10");
    assert_eq!(count(&scene(2.0), RED), 800, "40 by 20");
    assert_eq!(scene(2.0), scene(2.0), "the same every time");
}

#[test]
fn sizes_that_make_no_picture_are_refused() {
    let refused =
        |width, height, scale| picture(vec2(width, height), scale, 1, |_| {}).unwrap_err();
    assert_eq!(refused(0.0, 10.0, 1.0), PictureError::Empty, "no width");
    assert_eq!(
        refused(-5.0, 10.0, 1.0),
        PictureError::Empty,
        "a negative width"
    );
    assert_eq!(
        refused(10_001.0, 10_000.0, 1.0),
        PictureError::TooLarge {
            width: 10_001,
            height: 10_000
        },
        "just over the limit"
    );
    assert!(
        matches!(
            refused(f32::INFINITY, 1.0, 1.0),
            PictureError::TooLarge { .. }
        ),
        "no end"
    );
    assert!(
        matches!(refused(f32::NAN, 1.0, 1.0), PictureError::TooLarge { .. }),
        "no number"
    );
    assert!(
        refused(1e9, 1e9, 2.0).to_string().contains("100 million"),
        "the message names the limit of {MAX_PIXELS}"
    );
}

#[test]
fn a_png_reads_back_as_the_same_pixels() {
    let drawn = draw(
        &mut plain_raster(),
        vec![square(3.0, Color32::RED)],
        Rect::EVERYTHING,
        5,
        1.0,
    );
    let bytes = png(&drawn).unwrap();
    assert_eq!(
        &bytes[..8],
        b"\x89PNG\r\n\x1a\n",
        "the signature of PNG (ISO/IEC 15948)"
    );
    assert_eq!(
        image::load_from_memory(&bytes).unwrap().to_rgba8(),
        drawn,
        "nothing is lost"
    );
}
