//! The SVG writer. One user unit is one millimetre on paper. What it writes is inert: a short list of elements and
//! attributes, no script, no style sheet, no link, no outside reference; every text goes through one escape.

use std::fmt::Write as _;

use super::ExportError;
use crate::geometry::Point;
use crate::sheet::{Anchor, CAPITAL_SHARE, Dash, Fill, Ink, Mark, Pen, Sheet, Text, Weight};

/// How far off the paper a place may lie, in millimetres; beyond it something is wrong.
const FAR_MM: f64 = 1e6;

/// The sheet as an SVG document.
pub fn svg(sheet: &Sheet) -> Result<String, ExportError> {
    let mut out = Writer {
        text: String::new(),
        part: "paper".to_owned(),
    };
    let (w, h) = (out.number(sheet.width_mm)?, out.number(sheet.height_mm)?);
    out.text
        .push_str("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    out.push(&format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         font-family=\"DejaVu Sans, Arial, Helvetica, sans-serif\">\n"
    ));
    out.push(&format!("<title>{}</title>\n", escaped(&sheet.title)));
    out.push(&format!("<desc>{}</desc>\n", escaped(&sheet.description)));
    out.push(&format!(
        "<rect x=\"0\" y=\"0\" width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>\n"
    ));
    out.marks(&sheet.marks)?;
    out.push("</svg>\n");
    Ok(out.text)
}

/// Text made safe for element content and attribute values: the five signs of XML as entities, tab and line ends as
/// numbers, and what XML 1.0 forbids as U+FFFD.
pub(super) fn escaped(words: &str) -> String {
    let mut safe = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&apos;"),
            '\t' => safe.push_str("&#9;"),
            '\n' => safe.push_str("&#10;"),
            '\r' => safe.push_str("&#13;"),
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => safe.push('\u{fffd}'),
            _ => safe.push(c),
        }
    }
    safe
}

struct Writer {
    text: String,
    /// The group being written, for messages.
    part: String,
}

impl Writer {
    fn push(&mut self, words: &str) {
        self.text.push_str(words);
    }

    /// A number with at most three decimals and no negative zero.
    fn number(&self, value: f64) -> Result<String, ExportError> {
        if !value.is_finite() || value.abs() > FAR_MM {
            return Err(ExportError::NotOnPaper {
                part: self.part.clone(),
            });
        }
        // Adding zero turns a negative zero into zero.
        let rounded = (value * 1000.0).round() / 1000.0 + 0.0;
        let mut digits = format!("{rounded:.3}");
        if digits.contains('.') {
            digits.truncate(digits.trim_end_matches('0').trim_end_matches('.').len());
        }
        Ok(digits)
    }

    fn place(&self, p: Point) -> Result<String, ExportError> {
        Ok(format!("{} {}", self.number(p.x)?, self.number(p.y)?))
    }

    fn marks(&mut self, marks: &[Mark]) -> Result<(), ExportError> {
        for mark in marks {
            match mark {
                Mark::Strokes { lines, pen } => self.strokes(lines, *pen)?,
                Mark::Shape {
                    points,
                    closed,
                    pen,
                    fill,
                } => self.shape(points, *closed, *pen, *fill)?,
                Mark::Arc {
                    from,
                    to,
                    radius,
                    clockwise,
                    pen,
                } => {
                    let r = self.number(*radius)?;
                    let path = format!(
                        "M{} A{r} {r} 0 0 {} {}",
                        self.place(*from)?,
                        u8::from(*clockwise),
                        self.place(*to)?
                    );
                    let line = format!("<path d=\"{path}\" fill=\"none\"{}/>\n", self.pen(*pen)?);
                    self.push(&line);
                }
                Mark::Circle {
                    centre,
                    radius,
                    pen,
                    fill,
                } => {
                    let line = format!(
                        "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{}\"{}/>\n",
                        self.number(centre.x)?,
                        self.number(centre.y)?,
                        self.number(*radius)?,
                        fill_colour(*fill),
                        self.maybe_pen(*pen)?
                    );
                    self.push(&line);
                }
                Mark::Text(text) => self.text_line(text)?,
                Mark::Group { name, marks } => self.group(name, marks)?,
            }
        }
        Ok(())
    }

    /// Groups hold groups only as deep as the composer nests them, never as deep as a plan asks.
    fn group(&mut self, name: &str, marks: &[Mark]) -> Result<(), ExportError> {
        let outer = std::mem::replace(&mut self.part, name.to_owned());
        self.push(&format!("<g id=\"{}\">\n", escaped(name)));
        self.marks(marks)?;
        self.push("</g>\n");
        self.part = outer;
        Ok(())
    }

    fn strokes(&mut self, lines: &[(Point, Point)], pen: Pen) -> Result<(), ExportError> {
        if lines.is_empty() {
            return Ok(());
        }
        let mut path = String::new();
        for (from, to) in lines {
            let _ = write!(path, "M{} L{}", self.place(*from)?, self.place(*to)?);
        }
        let line = format!("<path d=\"{path}\" fill=\"none\"{}/>\n", self.pen(pen)?);
        self.push(&line);
        Ok(())
    }

    fn shape(
        &mut self,
        points: &[Point],
        closed: bool,
        pen: Option<Pen>,
        fill: Fill,
    ) -> Result<(), ExportError> {
        let mut path = String::new();
        for (k, p) in points.iter().enumerate() {
            let _ = write!(
                path,
                "{}{}",
                if k == 0 { "M" } else { " L" },
                self.place(*p)?
            );
        }
        if path.is_empty() {
            return Ok(());
        }
        if closed {
            path.push('Z');
        }
        let line = format!(
            "<path d=\"{path}\" fill=\"{}\"{}/>\n",
            fill_colour(fill),
            self.maybe_pen(pen)?
        );
        self.push(&line);
        Ok(())
    }

    fn text_line(&mut self, text: &Text) -> Result<(), ExportError> {
        if text.words.is_empty() {
            return Ok(());
        }
        let (x, y) = (self.number(text.at.x)?, self.number(text.at.y)?);
        let mut line = format!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\"",
            self.number(text.height_mm / CAPITAL_SHARE)?
        );
        match text.anchor {
            Anchor::Start => {}
            Anchor::Middle => line.push_str(" text-anchor=\"middle\""),
            Anchor::End => line.push_str(" text-anchor=\"end\""),
        }
        if text.weight == Weight::Bold {
            line.push_str(" font-weight=\"bold\"");
        }
        if text.turn_deg.abs() > 1e-9 || text.turn_deg.is_nan() {
            let _ = write!(
                line,
                " transform=\"rotate({} {x} {y})\"",
                self.number(-text.turn_deg)?
            );
        }
        let _ = writeln!(
            line,
            " fill=\"{}\">{}</text>",
            ink_colour(text.ink),
            escaped(&text.words)
        );
        self.push(&line);
        Ok(())
    }

    fn maybe_pen(&self, pen: Option<Pen>) -> Result<String, ExportError> {
        pen.map_or_else(|| Ok(String::new()), |pen| self.pen(pen))
    }

    fn pen(&self, pen: Pen) -> Result<String, ExportError> {
        let mut words = format!(
            " stroke=\"{}\" stroke-width=\"{}\"",
            ink_colour(pen.ink),
            self.number(pen.width_mm)?
        );
        let pattern = match pen.dash {
            Dash::Solid => "",
            Dash::Dashed => "2.4 1.2",
            Dash::Dotted => "0.35 0.9",
            Dash::DashDot => "4 1 0.4 1",
            Dash::DashDotDot => "4 1 0.4 1 0.4 1",
        };
        if !pattern.is_empty() {
            let _ = write!(words, " stroke-dasharray=\"{pattern}\"");
        }
        Ok(words)
    }
}

fn ink_colour(ink: Ink) -> &'static str {
    match ink {
        Ink::Black => "#000000",
        Ink::Grey => "#595959",
        Ink::White => "#ffffff",
    }
}

fn fill_colour(fill: Fill) -> &'static str {
    match fill {
        Fill::None => "none",
        Fill::White => "#ffffff",
        Fill::Tint => "#e4e4e4",
        Fill::Black => "#000000",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_escaped_and_forbidden_ones_replaced() {
        // XML 1.0, section 2.2: characters; section 4.6: predefined entities.
        assert_eq!(
            escaped("a&b<c>d\"e'f\tg\nh\ri\u{1}j\u{ffff}"),
            "a&amp;b&lt;c&gt;d&quot;e&apos;f&#9;g&#10;h&#13;i\u{fffd}j\u{fffd}"
        );
    }

    #[test]
    fn numbers_are_short_and_never_minus_zero() {
        let out = Writer {
            text: String::new(),
            part: "test".to_owned(),
        };
        let written = |v: f64| out.number(v).unwrap_or_else(|e| e.to_string());
        assert_eq!(written(-0.0), "0");
        assert_eq!(written(-0.0004), "0");
        assert_eq!(written(12.5), "12.5");
        assert_eq!(written(100.0), "100");
        assert_eq!(written(1.0 / 3.0), "0.333");
        assert!(out.number(f64::NAN).is_err());
        assert!(out.number(f64::INFINITY).is_err());
    }
}
