//! The picture under the floor as the window has it: read behind, kept for drawing, and what the pointer does with it. Sends nothing
//! and writes nothing; where the picture lies is the plan's.

use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use egui::{ColorImage, Context, TextureHandle, TextureId, TextureOptions};

use super::files::SharedDisk;
use super::pictures::{self, PictureFault, Pixels};
use crate::geometry::Point;
use crate::plan::{Picture, Plan, Tracing};
use crate::units::{Angle, Length};

/// What two points on the picture are for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// The true length between them sizes the picture.
    Scale,
    /// The line between them becomes level or upright, whichever is nearer.
    Level,
}

/// What the pointer does with the picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Tool {
    /// Nothing; the floor has the pointer.
    #[default]
    Rest,
    /// Drags it: from where on the floor and to where, while the button is down.
    Move(Option<(Point, Point)>),
    /// Marks points on it, at most two.
    Points(Purpose, Vec<Point>),
}

/// The view of the picture.
#[derive(Debug, Default)]
pub struct TracingView {
    /// What the pointer does with it.
    pub tool: Tool,
    /// The opacity while its slider is dragged.
    pub opacity: Option<u8>,
    reading: Option<Reading>,
    shown: Option<Shown>,
}

/// Something a thread of its own works out.
#[derive(Debug)]
struct Work<T> {
    result: Receiver<T>,
    thread: Option<JoinHandle<()>>,
}

/// A file being taken in.
#[derive(Debug)]
struct Reading {
    path: PathBuf,
    /// True where a plan of its own is to be made for it.
    fresh: bool,
    work: Work<Result<(Picture, Pixels), PictureFault>>,
}

/// A file that was taken in, or why not.
#[derive(Debug)]
pub(super) struct Read {
    /// The file.
    pub(super) path: PathBuf,
    /// True where a plan of its own is to be made for it.
    pub(super) fresh: bool,
    /// What became of it.
    pub(super) result: Result<(Picture, Pixels), PictureFault>,
}

/// The plan's picture on its way to the screen.
#[derive(Debug)]
struct Shown {
    picture: Picture,
    state: State,
}

enum State {
    Working(Work<Result<Pixels, PictureFault>>),
    Ready(TextureHandle),
    Failed(String),
}

impl fmt::Debug for State {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Working(_) => "Working",
            Self::Ready(_) => "Ready",
            Self::Failed(_) => "Failed",
        })
    }
}

impl<T: Send + 'static> Work<T> {
    fn begin(name: &str, work: impl FnOnce() -> T + Send + 'static) -> Self {
        let (sender, result) = channel();
        let thread = std::thread::Builder::new()
            .name(name.to_owned())
            .spawn(move || {
                // Nobody may be waiting any more.
                let _ = sender.send(work());
            })
            .ok();
        Self { result, thread }
    }

    fn join(&mut self) {
        if let Some(thread) = self.thread.take() {
            // A thread that panicked sends nothing, which is noticed where its result is looked for.
            let _ = thread.join();
        }
    }
}

/// How often a result is looked for.
const LOOK: Duration = Duration::from_millis(60);

impl TracingView {
    /// Begins to take in a file.
    pub(super) fn read(&mut self, disk: &SharedDisk, path: &Path, fresh: bool) {
        let (disk, file) = (SharedDisk::clone(disk), path.to_path_buf());
        self.reading = Some(Reading {
            path: path.to_path_buf(),
            fresh,
            work: Work::begin("picture", move || pictures::from_file(disk.as_ref(), &file)),
        });
    }

    /// The file being read, if one is.
    pub fn is_reading(&self) -> Option<&Path> {
        self.reading.as_ref().map(|r| r.path.as_path())
    }

    /// Gives up reading; what the thread still finds is thrown away.
    pub fn leave_reading(&mut self) {
        self.reading = None;
    }

    /// What became of the file, once.
    pub(super) fn taken_in(&mut self, ctx: &Context) -> Option<Read> {
        let reading = self.reading.as_ref()?;
        let result = match reading.work.result.try_recv() {
            Ok(result) => result,
            Err(TryRecvError::Empty) => {
                ctx.request_repaint_after(LOOK);
                return None;
            }
            Err(TryRecvError::Disconnected) => Err(PictureFault::Damaged(NO_ANSWER.to_owned())),
        };
        let reading = self.reading.take()?;
        Some(Read {
            path: reading.path,
            fresh: reading.fresh,
            result,
        })
    }

    /// Pixels that are there already are not read a second time.
    pub(super) fn shows(&mut self, ctx: &Context, picture: &Picture, pixels: Pixels) {
        self.shown = Some(Shown {
            picture: picture.clone(),
            state: State::Ready(texture(ctx, pixels)),
        });
    }

    /// Follows the plan: reads its picture behind, and brings it to the screen.
    pub(super) fn follow(&mut self, ctx: &Context, plan: &Plan) {
        let Some((_, picture)) = plan.traced() else {
            self.shown = None;
            self.tool = Tool::Rest;
            return;
        };
        let shown = self.shown.take().filter(|shown| shown.picture.is(picture));
        let mut shown = shown.unwrap_or_else(|| {
            let bytes = picture.clone();
            Shown {
                picture: picture.clone(),
                state: State::Working(Work::begin("picture", move || {
                    pictures::pixels_of(bytes.bytes())
                })),
            }
        });
        if let State::Working(work) = &shown.state {
            shown.state = match work.result.try_recv() {
                Ok(Ok(pixels)) => State::Ready(texture(ctx, pixels)),
                Ok(Err(why)) => State::Failed(why.to_string()),
                Err(TryRecvError::Disconnected) => State::Failed(NO_ANSWER.to_owned()),
                Err(TryRecvError::Empty) => {
                    ctx.request_repaint_after(LOOK);
                    shown.state
                }
            };
        }
        self.shown = Some(shown);
    }

    /// Waits for what is read behind.
    pub(super) fn finish(&mut self) {
        if let Some(reading) = &mut self.reading {
            reading.work.join();
        }
        if let Some(Shown {
            state: State::Working(work),
            ..
        }) = &mut self.shown
        {
            work.join();
        }
    }

    /// The picture for drawing, and its height as a share of its width.
    pub fn drawn(&self) -> Option<(TextureId, f64)> {
        match &self.shown.as_ref()?.state {
            State::Ready(texture) => {
                let size = texture.size_vec2();
                Some((texture.id(), f64::from(size.y) / f64::from(size.x)))
            }
            State::Working(_) | State::Failed(_) => None,
        }
    }

    /// Why the plan's picture cannot be drawn, if so.
    pub fn trouble(&self) -> Option<&str> {
        match &self.shown.as_ref()?.state {
            State::Failed(why) => Some(why),
            State::Working(_) | State::Ready(_) => None,
        }
    }
}

/// What is said where the thread that reads is gone without a word.
const NO_ANSWER: &str = "reading it did not come to an end";

/// On its way to the graphics card, which takes no side longer than it says.
fn texture(ctx: &Context, pixels: Pixels) -> TextureHandle {
    let most = ctx.input(|i| u32::try_from(i.max_texture_side).unwrap_or(pictures::MOST_KEPT_SIDE));
    let pixels = pictures::shrunk(pixels, most.min(pictures::MOST_KEPT_SIDE));
    let side = |n: u32| usize::try_from(n).unwrap_or_default();
    let image = ColorImage::from_rgb(
        [side(pixels.width()), side(pixels.height())],
        pixels.as_raw(),
    );
    ctx.load_texture("picture to trace", image, TextureOptions::LINEAR)
}

/// The corners on the floor, from the upper left one of the unturned picture clockwise; `tall` is its height by its width.
pub fn corners(tracing: &Tracing, tall: f64) -> [Point; 4] {
    let middle = Point::new(tracing.at.0.mm(), tracing.at.1.mm());
    let (sin, cos) = tracing.turn.sin_cos();
    let (w, h) = (tracing.width.mm() / 2.0, tracing.width.mm() * tall / 2.0);
    [(-w, h), (w, h), (w, -h), (-w, -h)]
        .map(|(x, y)| middle + Point::new(x * cos - y * sin, x * sin + y * cos))
}

/// The picture moved by that much.
#[must_use]
pub fn moved(tracing: &Tracing, by: Point) -> Tracing {
    let (x, y) = tracing.at;
    Tracing {
        at: (x + Length::from_mm(by.x), y + Length::from_mm(by.y)),
        ..tracing.clone()
    }
}

/// The picture sized so that the points have the true length between them; the first stays where it is. `None` where the points are
/// one, or the length is none.
pub fn scaled(tracing: &Tracing, (a, b): (Point, Point), true_mm: f64) -> Option<Tracing> {
    let now = a.distance(b);
    if now < 0.5 || true_mm < 0.5 {
        return None;
    }
    let factor = true_mm / now;
    let middle = Point::new(tracing.at.0.mm(), tracing.at.1.mm());
    let middle = a + (middle - a) * factor;
    Some(Tracing {
        at: (Length::from_mm(middle.x), Length::from_mm(middle.y)),
        width: Length::from_mm(tracing.width.mm() * factor),
        ..tracing.clone()
    })
}

/// The picture turned about the first point, so that the line to the second lies level or stands upright, whichever is nearer.
pub fn levelled(tracing: &Tracing, (a, b): (Point, Point)) -> Option<Tracing> {
    let line = b - a;
    if line.length() < 0.5 {
        return None;
    }
    let heading = line.y.atan2(line.x).to_degrees();
    let by = (heading / 90.0).round() * 90.0 - heading;
    let (sin, cos) = by.to_radians().sin_cos();
    let middle = Point::new(tracing.at.0.mm(), tracing.at.1.mm()) - a;
    let middle = a + Point::new(
        middle.x * cos - middle.y * sin,
        middle.x * sin + middle.y * cos,
    );
    Some(Tracing {
        at: (Length::from_mm(middle.x), Length::from_mm(middle.y)),
        turn: tracing.turn + Angle::from_degrees(by),
        ..tracing.clone()
    })
}
