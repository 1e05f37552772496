//! Paper and scale: the standard sizes and scales, and the choice of the smallest paper that takes everything at a scale
//! that can be read, at the largest such scale.

use super::block::{Block, Placed, Region, WIDTH_MM, flow};
use super::title;
use crate::geometry::Point;
use crate::sheet::{Mark, Pen, Text};
use crate::units::Practice;

/// A sheet of paper, lying.
#[derive(Clone, Copy, Debug)]
pub(super) struct Paper {
    pub(super) name: &'static str,
    pub(super) width: f64,
    pub(super) height: f64,
}

/// A scale: its ratio and its words.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub(super) ratio: f64,
    pub(super) words: &'static str,
}

/// Sizes of ASME Y14.1 and the architectural series, smallest first.
const US_PAPERS: [Paper; 6] = [
    Paper {
        name: "ANSI B, 11 × 17 in",
        width: 431.8,
        height: 279.4,
    },
    Paper {
        name: "Arch B, 12 × 18 in",
        width: 457.2,
        height: 304.8,
    },
    Paper {
        name: "ANSI C, 17 × 22 in",
        width: 558.8,
        height: 431.8,
    },
    Paper {
        name: "Arch C, 18 × 24 in",
        width: 609.6,
        height: 457.2,
    },
    Paper {
        name: "ANSI D, 22 × 34 in",
        width: 863.6,
        height: 558.8,
    },
    Paper {
        name: "Arch D, 24 × 36 in",
        width: 914.4,
        height: 609.6,
    },
];

/// Sizes of ISO 216.
const ISO_PAPERS: [Paper; 3] = [
    Paper {
        name: "ISO A3",
        width: 420.0,
        height: 297.0,
    },
    Paper {
        name: "ISO A2",
        width: 594.0,
        height: 420.0,
    },
    Paper {
        name: "ISO A1",
        width: 841.0,
        height: 594.0,
    },
];

/// Scales of US practice. The first few can be read on site; the last are for rooms that are halls.
const US_SCALES: [Scale; 10] = [
    Scale {
        ratio: 24.0,
        words: "1/2\" = 1'-0\"",
    },
    Scale {
        ratio: 32.0,
        words: "3/8\" = 1'-0\"",
    },
    Scale {
        ratio: 48.0,
        words: "1/4\" = 1'-0\"",
    },
    Scale {
        ratio: 64.0,
        words: "3/16\" = 1'-0\"",
    },
    Scale {
        ratio: 96.0,
        words: "1/8\" = 1'-0\"",
    },
    Scale {
        ratio: 192.0,
        words: "1/16\" = 1'-0\"",
    },
    Scale {
        ratio: 480.0,
        words: "1\" = 40'-0\"",
    },
    Scale {
        ratio: 1200.0,
        words: "1\" = 100'-0\"",
    },
    Scale {
        ratio: 4800.0,
        words: "1\" = 400'-0\"",
    },
    Scale {
        ratio: 12000.0,
        words: "1\" = 1000'-0\"",
    },
];

/// Scales of ISO 5455.
const ISO_SCALES: [Scale; 9] = [
    Scale {
        ratio: 20.0,
        words: "1:20",
    },
    Scale {
        ratio: 50.0,
        words: "1:50",
    },
    Scale {
        ratio: 100.0,
        words: "1:100",
    },
    Scale {
        ratio: 200.0,
        words: "1:200",
    },
    Scale {
        ratio: 500.0,
        words: "1:500",
    },
    Scale {
        ratio: 1000.0,
        words: "1:1000",
    },
    Scale {
        ratio: 2000.0,
        words: "1:2000",
    },
    Scale {
        ratio: 5000.0,
        words: "1:5000",
    },
    Scale {
        ratio: 10000.0,
        words: "1:10000",
    },
];

/// The smallest scale at which racks and outlets are still easy to read.
const READABLE: f64 = 50.0;
/// Frame: wide margin at the left for filing, the same narrow one elsewhere (ISO 5457).
const FILING_MM: f64 = 20.0;
const MARGIN_MM: f64 = 10.0;
/// Length of the centring marks on the frame.
const CENTRING_MM: f64 = 6.0;
/// Free paper inside the frame and between columns.
const PAD_MM: f64 = 5.0;
/// Most columns of blocks beside the drawing.
const COLUMNS_MOST: u8 = 4;

/// How the sheet is divided.
#[derive(Debug)]
pub(super) struct Arrangement {
    pub(super) paper: Paper,
    pub(super) scale: Scale,
    /// Upper left corner and size of the paper left for the drawing.
    pub(super) drawing: (Point, Point),
    /// The blocks in their columns.
    pub(super) blocks: Placed,
}

/// What has to be put on the sheet: the size of the drawing at a ratio, and the blocks.
pub(super) struct Wanted<'a> {
    pub(super) drawing: &'a dyn Fn(f64) -> Point,
    pub(super) blocks: &'a [Block],
    /// The same blocks, what must not be lost first.
    pub(super) by_weight: &'a [Block],
}

/// The smallest paper at the largest readable scale; else the largest scale on any; else what the largest paper takes.
pub(super) fn arrange(practice: Practice, wanted: &Wanted<'_>) -> Arrangement {
    let (papers, scales): (&[Paper], &[Scale]) = match practice {
        Practice::Us => (&US_PAPERS, &US_SCALES),
        Practice::Metric => (&ISO_PAPERS, &ISO_SCALES),
    };
    let readable = papers.iter().flat_map(|paper| {
        let scales = scales.iter().filter(|s| s.ratio <= READABLE);
        scales.map(move |scale| (*paper, *scale))
    });
    let rest = scales
        .iter()
        .filter(|s| s.ratio > READABLE)
        .flat_map(|scale| papers.iter().map(move |paper| (*paper, *scale)));
    readable
        .chain(rest)
        .find_map(|(paper, scale)| fitted(paper, scale, wanted, false))
        .or_else(|| {
            let paper = papers.last()?;
            scales
                .iter()
                .find_map(|scale| fitted(*paper, *scale, wanted, true))
        })
        .unwrap_or_else(|| smallest(papers, scales, wanted))
}

/// What is left when a room fits at no scale: the smallest scale on the largest paper. The longest length of a plan, 1 km,
/// fits at 1:10000, so this is never reached; it stands for the compiler.
fn smallest(papers: &[Paper], scales: &[Scale], wanted: &Wanted<'_>) -> Arrangement {
    let paper = papers.last().copied().unwrap_or(US_PAPERS[0]);
    let scale = scales.last().copied().unwrap_or(US_SCALES[0]);
    let drawing = (inside(paper).0, (wanted.drawing)(scale.ratio));
    Arrangement {
        paper,
        scale,
        drawing,
        blocks: flow(wanted.by_weight, &right_columns(paper, 1), true).unwrap_or_default(),
    }
}

/// Upper left and lower right corner inside the frame.
fn inside(paper: Paper) -> (Point, Point) {
    (
        Point::new(FILING_MM + PAD_MM, MARGIN_MM + PAD_MM),
        Point::new(
            paper.width - MARGIN_MM - PAD_MM,
            paper.height - MARGIN_MM - PAD_MM,
        ),
    )
}

/// The columns of blocks beside the drawing, from left to right; the last stands above the title block.
fn right_columns(paper: Paper, count: u8) -> Vec<Region> {
    let (low, high) = inside(paper);
    (0..count)
        .rev()
        .map(|k| {
            let x = high.x - WIDTH_MM - f64::from(k) * (WIDTH_MM + PAD_MM);
            let foot = if k == 0 {
                title::HEIGHT_MM + PAD_MM
            } else {
                0.0
            };
            Region {
                at: Point::new(x, low.y),
                height: high.y - low.y - foot,
            }
        })
        .collect()
}

fn fitted(paper: Paper, scale: Scale, wanted: &Wanted<'_>, cut: bool) -> Option<Arrangement> {
    let (low, high) = inside(paper);
    let need = (wanted.drawing)(scale.ratio);
    let mut counts: Vec<u8> = (1..=COLUMNS_MOST).collect();
    if cut {
        counts.reverse();
    }
    counts.into_iter().find_map(|count| {
        let room = Point::new(
            high.x - low.x - f64::from(count) * (WIDTH_MM + PAD_MM),
            high.y - low.y,
        );
        if need.x > room.x || need.y > room.y {
            return None;
        }
        let mut regions = right_columns(paper, count);
        let below = below_drawing(low, room, need.y);
        regions.extend(&below);
        let blocks = flow(
            if cut { wanted.by_weight } else { wanted.blocks },
            &regions,
            cut,
        )?;
        // The drawing takes all the height when no block stands below it.
        let foot_used =
            !below.is_empty() && flow(wanted.blocks, &right_columns(paper, count), false).is_none();
        let height = if foot_used { need.y } else { room.y };
        Some(Arrangement {
            paper,
            scale,
            drawing: (low, Point::new(room.x, height)),
            blocks,
        })
    })
}

/// The columns below the drawing.
fn below_drawing(low: Point, room: Point, used: f64) -> Vec<Region> {
    let height = room.y - used - PAD_MM;
    let mut regions = Vec::new();
    let mut x = low.x;
    while height > 30.0 && x + WIDTH_MM <= low.x + room.x {
        regions.push(Region {
            at: Point::new(x, low.y + used + PAD_MM),
            height,
        });
        x += WIDTH_MM + PAD_MM;
    }
    regions
}

/// The corner of the title block.
pub(super) fn title_corner(paper: Paper) -> Point {
    Point::new(
        paper.width - MARGIN_MM - WIDTH_MM,
        paper.height - MARGIN_MM - title::HEIGHT_MM,
    )
}

/// The frame with centring marks on its four sides.
pub(super) fn frame(paper: Paper) -> Vec<Mark> {
    let low = Point::new(FILING_MM, MARGIN_MM);
    let high = Point::new(paper.width - MARGIN_MM, paper.height - MARGIN_MM);
    let (x, y) = (paper.width * 0.5, paper.height * 0.5);
    let p = Point::new;
    let centring = vec![
        (p(x, low.y - CENTRING_MM), p(x, low.y)),
        (p(x, high.y), p(x, high.y + CENTRING_MM)),
        (p(low.x - CENTRING_MM, y), p(low.x, y)),
        (p(high.x, y), p(high.x + CENTRING_MM, y)),
    ];
    vec![
        Mark::rectangle(low, high, Some(Pen::black(0.7)), crate::sheet::Fill::None),
        Mark::Strokes {
            lines: centring,
            pen: Pen::black(0.7),
        },
        Mark::Text(Text::new(
            p(low.x, paper.height - 3.5),
            format!("Print at 100 % on {}", paper.name),
            crate::sheet::LEAST_LETTERING_MM,
        )),
    ]
}
