//! The camera: the only place where millimetres of the room become points of the screen and back.

use egui::{Pos2, Rect, Vec2, pos2, vec2};

use crate::geometry::{Bounds, Point};

/// Where the floor view looks: the place in the middle of the view and how many points a millimetre takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    middle: Point,
    points_per_mm: f64,
    view: Rect,
}

/// The least and greatest zoom, in points a millimetre: a room of 1 km in view, and a millimetre as big as a thumb.
const ZOOM: (f64, f64) = (0.001, 40.0);

impl Camera {
    /// A camera that shows the box with a margin all round.
    pub fn fitting(bounds: &Bounds, view: Rect) -> Self {
        // Room for the dimension lines and the names of what is on the walls; less of it where the view itself is small.
        let margin = vec2(118.0, 66.0).min(view.size() * vec2(0.16, 0.2));
        let room = (view.size() - margin * 2.0).max(vec2(50.0, 50.0));
        let size = bounds.size().max(Point::splat(1.0));
        let zoom = (f64::from(room.x) / size.x).min(f64::from(room.y) / size.y);
        Self {
            middle: bounds.centre(),
            points_per_mm: zoom.max(ZOOM.0).min(ZOOM.1),
            view,
        }
    }

    /// The same look in a view that was moved or resized.
    #[must_use]
    pub fn in_view(self, view: Rect) -> Self {
        Self { view, ..self }
    }

    /// The part of the screen it fills.
    pub fn view(&self) -> Rect {
        self.view
    }

    /// A place of the floor on the screen.
    pub fn to_screen(&self, p: Point) -> Pos2 {
        let off = (p - self.middle) * self.points_per_mm;
        let centre = self.view.center();
        pos2(centre.x + narrow(off.x), centre.y - narrow(off.y))
    }

    /// A place of the screen on the floor.
    pub fn to_floor(&self, p: Pos2) -> Point {
        let off = p - self.view.center();
        let off = Point::new(f64::from(off.x), -f64::from(off.y));
        self.middle + off / self.points_per_mm
    }

    /// A length on the screen, in points.
    pub fn points(&self, mm: f64) -> f32 {
        narrow(mm * self.points_per_mm)
    }

    /// A distance on the screen in millimetres of the floor.
    pub fn mm(&self, points: f32) -> f64 {
        f64::from(points) / self.points_per_mm
    }

    /// A drag on the screen as a move on the floor.
    pub fn drag(&self, by: Vec2) -> Point {
        Point::new(f64::from(by.x), -f64::from(by.y)) / self.points_per_mm
    }

    /// The look after the paper was pushed by that much.
    #[must_use]
    pub fn pushed(&self, by: Vec2) -> Self {
        Self {
            middle: self.middle - self.drag(by),
            ..*self
        }
    }

    /// The look after zooming by a factor, with the place under `at` staying there.
    #[must_use]
    pub fn zoomed(&self, factor: f32, at: Pos2) -> Self {
        let held = self.to_floor(at);
        let zoom = (self.points_per_mm * f64::from(factor))
            .max(ZOOM.0)
            .min(ZOOM.1);
        let next = Self {
            points_per_mm: zoom,
            ..*self
        };
        Self {
            middle: next.middle + held - next.to_floor(at),
            ..next
        }
    }

    /// The look with that place in the middle, at the same zoom.
    #[must_use]
    pub fn centred(&self, at: Point) -> Self {
        Self {
            middle: at,
            ..*self
        }
    }
}

/// To the screen's precision; what lies far outside the view is brought to its far edge.
#[expect(
    clippy::cast_possible_truncation,
    reason = "bounded just before; the screen has no finer places"
)]
fn narrow(value: f64) -> f32 {
    value.max(-1e6).min(1e6) as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_is_the_same_place() {
        let bounds = Bounds {
            low: Point::ZERO,
            high: Point::new(8000.0, 3500.0),
        };
        let view = Rect::from_min_size(pos2(200.0, 100.0), vec2(900.0, 500.0));
        let camera = Camera::fitting(&bounds, view).zoomed(1.7, pos2(400.0, 300.0));
        for p in [
            Point::ZERO,
            Point::new(1234.5, 777.25),
            Point::new(-900.0, 4000.0),
        ] {
            let back = camera.to_floor(camera.to_screen(p));
            assert!(back.distance(p) < 0.05, "{p} came back as {back}");
        }
    }

    #[test]
    fn zooming_holds_the_place_under_the_pointer() {
        let bounds = Bounds {
            low: Point::ZERO,
            high: Point::new(8000.0, 3500.0),
        };
        let view = Rect::from_min_size(pos2(0.0, 0.0), vec2(900.0, 500.0));
        let at = pos2(123.0, 45.0);
        let camera = Camera::fitting(&bounds, view);
        let before = camera.to_floor(at);
        let after = camera.zoomed(3.0, at).to_floor(at);
        assert!(before.distance(after) < 1e-6, "{before} moved to {after}");
    }
}
