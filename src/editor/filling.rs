//! The search for the fullest arrangement, kept behind the window: at most one thread at a time, the answer on show, and
//! what is known of each phase. Draws nothing and edits nothing; the window never waits for the thread.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::time::{Duration, Instant};

use super::tolerance::Walls;
use crate::fill::{self, Answer, Ask, StoppedBy, Unfillable, Watch};
use crate::geometry::Point;
use crate::plan::{
    Circuit, Edit, Head, Id, Item, Label, Library, PhaseNo, Plan, Presence, Printer, UpsPlace,
};
use crate::stock::KindId;
use crate::units::capital;

/// How an arrangement is searched.
pub type Search =
    dyn Fn(&Library, &Arc<Plan>, &Ask, &dyn Watch) -> Result<Answer, Unfillable> + Send + Sync;

/// How an answer, or the numbered placements of it, becomes one edit.
pub type Adopt =
    dyn Fn(&Library, &Arc<Plan>, &Ask, &Answer, Option<&BTreeSet<usize>>) -> Edit + Send + Sync;

/// The searcher that the window works with: fill's own, or another in its place.
#[derive(Clone)]
pub struct Filler {
    /// Searches.
    pub search: Arc<Search>,
    /// Takes an answer over.
    pub adopt: Arc<Adopt>,
}

impl Default for Filler {
    fn default() -> Self {
        Self {
            search: Arc::new(fill::fill),
            adopt: Arc::new(fill::adopt),
        }
    }
}

impl fmt::Debug for Filler {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Filler")
    }
}

/// Steps of a search that a person watches: more than any run uses, since a person ends it.
pub const STEPS: u64 = 1 << 48;

/// The time for the first count of a new plan, which nobody asked for and nobody may be watching.
pub const FIRST_COUNT: Duration = Duration::from_mins(1);

/// How often the window is woken by news at most.
const NEWS: Duration = Duration::from_millis(60);

/// What an answer rests on: the plan in one phase, without the racks that the search may put elsewhere.
#[derive(Clone, Debug)]
struct Ground {
    plan: Arc<Plan>,
    phase: PhaseNo,
    /// True where every loose rack of the phase may go; where a part of the floor is filled, none is passed over.
    whole: bool,
}

impl Ground {
    /// True where the same question about another version of the plan has the same answer.
    fn holds_for(&self, plan: &Arc<Plan>) -> bool {
        let own = &self.plan;
        Arc::ptr_eq(own, plan)
            || (bare(own.head()) == bare(plan.head())
                && own.room() == plan.room()
                && own.kinds() == plan.kinds()
                && own.limit_changes() == plan.limit_changes()
                && self.leading(own) == self.leading(plan)
                && alike(self.items(own), self.items(plan))
                && alike(self.printers(own), self.printers(plan))
                && alike(self.circuits(own), self.circuits(plan)))
    }

    fn here(&self, presence: &Presence) -> bool {
        presence.holds_in(self.phase)
    }

    /// True where the search may put the rack elsewhere.
    fn goes(&self, plan: &Plan, rack: Id) -> bool {
        self.whole && fill::is_loose(plan, self.phase, rack)
    }

    fn items<'a>(&'a self, plan: &'a Plan) -> impl Iterator<Item = (Id, &'a Item)> {
        plan.items().iter().filter(|(id, item)| {
            let on_rack = match item {
                Item::Ups(ups) => match ups.stands {
                    UpsPlace::OnRack(rack) => self.goes(plan, rack),
                    UpsPlace::OnFloor(_) => false,
                },
                Item::Door(_)
                | Item::Window(_)
                | Item::Column(_)
                | Item::Panel(_)
                | Item::Outlet(_)
                | Item::Cooling(_)
                | Item::Fitting(_)
                | Item::Overhead(_)
                | Item::Light(_)
                | Item::Camera(_)
                | Item::Furniture(_)
                | Item::Zone(_)
                | Item::Rack(_)
                | Item::Dimension(_)
                | Item::Note(_) => false,
            };
            // What is only written on the floor changes no count.
            let counts = self.here(item.presence()) && !item.kind().is_written();
            counts && !on_rack && !self.goes(plan, *id)
        })
    }

    fn printers<'a>(&'a self, plan: &'a Plan) -> impl Iterator<Item = (Id, &'a Printer)> {
        plan.printers()
            .iter()
            .filter(|(_, p)| self.here(&p.presence) && !self.goes(plan, p.slot.rack))
    }

    fn circuits<'a>(&'a self, plan: &'a Plan) -> impl Iterator<Item = (Id, &'a Circuit)> {
        plan.circuits()
            .iter()
            .filter(|(_, c)| self.here(&c.presence))
    }

    /// The printer kind that is counted in.
    fn leading(&self, plan: &Plan) -> Option<KindId> {
        let here = plan.printers().iter().map(|(_, printer)| printer);
        let here = here.filter(|printer| self.here(&printer.presence));
        fill::leading_of(plan.head(), here.map(|printer| &printer.kind))
    }
}

/// True where both give the same things; what is shared between two versions is not looked into.
fn alike<'a, T: PartialEq + 'a>(
    mut a: impl Iterator<Item = (Id, &'a T)>,
    mut b: impl Iterator<Item = (Id, &'a T)>,
) -> bool {
    loop {
        match (a.next(), b.next()) {
            (None, None) => return true,
            (Some((i, x)), Some((j, y))) if i == j && (std::ptr::eq(x, y) || x == y) => {}
            _ => return false,
        }
    }
}

/// The head without what no count rests on.
fn bare(head: &Head) -> Head {
    Head {
        name: Label::default(),
        hoped_for: None,
        ..head.clone()
    }
}

/// News of the thread.
enum News {
    Better(Box<Answer>),
    Ended(Result<Box<Answer>, Unfillable>),
}

/// A search at work. Dropping it asks the thread to end and waits for nothing.
#[derive(Debug)]
struct Run {
    news: Receiver<News>,
    stop: Arc<AtomicBool>,
    begun: Instant,
    ground: Ground,
    ask: Ask,
}

impl Drop for Run {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// The thread's side.
struct Watcher {
    news: Sender<News>,
    stop: Arc<AtomicBool>,
    begun: Instant,
    most: Option<Duration>,
    wake: Box<dyn Fn(Duration) + Send + Sync>,
}

impl Watcher {
    fn tell(&self, news: News) {
        // Nobody listens any more once the search was dropped.
        if self.news.send(news).is_ok() {
            (self.wake)(NEWS);
        }
    }
}

impl Watch for Watcher {
    fn seen(&self, answer: &Answer) {
        self.tell(News::Better(Box::new(answer.clone())));
    }

    fn stop(&self) -> Option<StoppedBy> {
        if self.stop.load(Ordering::Relaxed) {
            return Some(StoppedBy::Cancelled);
        }
        self.most
            .is_some_and(|most| self.begun.elapsed() >= most)
            .then_some(StoppedBy::Seconds)
    }
}

/// An answer on show, to be taken or dropped.
#[derive(Clone, Debug)]
pub struct Proposal {
    ground: Ground,
    /// What was asked.
    pub ask: Ask,
    /// The answer so far, or the final one.
    pub answer: Answer,
    /// The placements chosen, by number.
    pub chosen: BTreeSet<usize>,
    /// How long the search took, where it has ended.
    pub took: Option<Duration>,
}

/// What is known of a phase.
#[derive(Clone, Debug)]
struct Known {
    /// The versions of the plan that it holds for.
    grounds: Vec<Ground>,
    kinds: Option<BTreeSet<KindId>>,
    answer: Answer,
}

/// The search for the fullest arrangement and what it found.
#[derive(Debug, Default)]
pub struct Filling {
    filler: Filler,
    run: Option<Run>,
    proposal: Option<Proposal>,
    known: BTreeMap<PhaseNo, Known>,
    trouble: Option<String>,
    part: Option<(Point, Point)>,
    marking: bool,
    /// The walls of the answer on show tried shorter.
    walls: Option<Walls>,
}

impl Filling {
    /// With a searcher of one's own.
    pub fn new(filler: Filler) -> Self {
        Self {
            filler,
            ..Self::default()
        }
    }

    /// The searcher.
    pub fn filler(&self) -> &Filler {
        &self.filler
    }

    /// Begins to search, in the place of any search before. `most` is the time it may take; `wake` is called with a delay
    /// after which the window should look for news.
    pub fn begin(
        &mut self,
        library: &Arc<Library>,
        plan: &Arc<Plan>,
        ask: Ask,
        most: Option<Duration>,
        wake: impl Fn(Duration) + Send + Sync + 'static,
    ) {
        self.drop_search();
        let (sender, news) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let begun = now();
        let watcher = Watcher {
            news: sender,
            stop: Arc::clone(&stop),
            begun,
            most,
            wake: Box::new(wake),
        };
        let search = Arc::clone(&self.filler.search);
        let run = Run {
            news,
            stop,
            begun,
            ground: Ground {
                plan: Arc::clone(plan),
                phase: ask.phase,
                whole: ask.part.is_none(),
            },
            ask: ask.clone(),
        };
        let (library, plan) = (Arc::clone(library), Arc::clone(plan));
        let thread = std::thread::Builder::new()
            .name("fill".to_owned())
            .spawn(move || {
                let ended = search(&library, &plan, &ask, &watcher);
                watcher.tell(News::Ended(ended.map(Box::new)));
            });
        match thread {
            Ok(_) => self.run = Some(run),
            Err(error) => self.trouble = Some(format!("The search could not begin: {error}.")),
        }
    }

    /// Takes in what was found since the last frame; gives a sentence where the search has ended.
    pub fn collect(&mut self) -> Option<String> {
        loop {
            let run = self.run.as_ref()?;
            match run.news.try_recv() {
                Ok(News::Better(answer)) => self.take_in(*answer, None),
                Ok(News::Ended(Ok(answer))) => {
                    let took = run.begun.elapsed();
                    let words = format!(
                        "Phase {}: {} printers, {}.",
                        run.ask.phase,
                        answer.printers,
                        answer.words()
                    );
                    self.take_in(*answer, Some(took));
                    self.run = None;
                    return Some(words);
                }
                Ok(News::Ended(Err(why))) => {
                    self.run = None;
                    return Some(self.fails(capital(&format!("{why}."))));
                }
                Err(TryRecvError::Empty) => return None,
                Err(TryRecvError::Disconnected) => {
                    self.stop();
                    let words = "The search broke off; what it had found is kept. Start it again.";
                    return Some(self.fails(words.to_owned()));
                }
            }
        }
    }

    fn fails(&mut self, words: String) -> String {
        self.trouble = Some(words.clone());
        words
    }

    fn take_in(&mut self, answer: Answer, took: Option<Duration>) {
        let Some(run) = &self.run else {
            return;
        };
        let chosen = self.proposal.take().map_or_else(BTreeSet::new, |before| {
            still_chosen(&before, &answer.placements)
        });
        if run.ask.part.is_none() {
            learn(&mut self.known, run, &answer);
        }
        self.proposal = Some(Proposal {
            ground: run.ground.clone(),
            ask: run.ask.clone(),
            answer,
            chosen,
            took,
        });
    }

    /// Stops the search at once and keeps what it has found.
    pub fn stop(&mut self) {
        let Some(run) = self.run.take() else {
            return;
        };
        if let Some(proposal) = &mut self.proposal {
            proposal.answer.stopped_by = StoppedBy::Cancelled;
            proposal.took = Some(run.begun.elapsed());
        }
    }

    /// Stops the search and takes what it has found off the floor; what is known of the phase stays known.
    pub fn drop_search(&mut self) {
        self.run = None;
        self.proposal = None;
        self.trouble = None;
        self.walls = None;
    }

    /// Begins to try the walls of the answer on show a little shorter; nothing while the search itself is at work.
    pub fn try_walls(&mut self, library: &Arc<Library>, wake: impl Fn() + Send + 'static) {
        let Some(proposal) = self.proposal.as_ref().filter(|_| self.run.is_none()) else {
            return;
        };
        self.walls = Some(Walls::begin(
            Arc::clone(&self.filler.search),
            library,
            &proposal.ground.plan,
            proposal.ask.clone(),
            proposal.answer.clone(),
            wake,
        ));
    }

    /// Stops trying the walls, and keeps what is known of them.
    pub fn leave_walls(&mut self) {
        if let Some(walls) = &mut self.walls {
            walls.stop();
        }
    }

    /// Takes in what was worked out of the walls.
    pub fn collect_walls(&mut self) {
        if let Some(walls) = &mut self.walls {
            walls.collect();
        }
    }

    /// What is known of the walls of the answer on show, where it was asked for.
    pub fn walls(&self) -> Option<&Walls> {
        self.walls.as_ref()
    }

    /// Forgets everything: another document is on show.
    pub fn forget(&mut self) {
        let filler = self.filler.clone();
        *self = Self::new(filler);
    }

    /// The plan has changed. A search or an answer on show that rests on what changed is dropped; gives the sentence that
    /// says so.
    pub fn follow(
        &mut self,
        before: &Arc<Plan>,
        after: &Arc<Plan>,
        phase: PhaseNo,
    ) -> Option<String> {
        let ground = self
            .run
            .as_ref()
            .map(|run| &run.ground)
            .or(self.proposal.as_ref().map(|p| &p.ground));
        if let Some(ground) = ground.filter(|ground| !ground.holds_for(after)) {
            let words = format!(
                "The plan has changed: the search for phase {} was dropped.",
                ground.phase
            );
            self.drop_search();
            return Some(words);
        }
        let lost = self.known(before, phase).is_some() && self.known(after, phase).is_none();
        lost.then(|| format!("The plan has changed: what phase {phase} truly holds is open again."))
    }

    /// The search and its answer, taken off the floor to be put into the plan.
    pub fn hand_over(&mut self) -> Option<Proposal> {
        self.stop();
        self.walls = None;
        self.proposal.take()
    }

    /// An answer that was not put into the plan after all.
    pub fn hand_back(&mut self, proposal: Proposal) {
        self.proposal = Some(proposal);
    }

    /// The answer was put into the plan: what is known of the phase holds for the plan as it is now too.
    pub fn adopted(&mut self, proposal: &Proposal, plan: &Arc<Plan>) {
        let phase = proposal.ask.phase;
        let Some(known) = self.known.get_mut(&phase) else {
            return;
        };
        let same = known.answer == proposal.answer;
        let new = known.grounds.iter().all(|g| !g.holds_for(plan));
        if same && new {
            known.grounds.push(Ground {
                plan: Arc::clone(plan),
                phase,
                whole: true,
            });
        }
    }

    /// Chooses a placement, or leaves it where it was chosen.
    pub fn choose(&mut self, number: usize) {
        if let Some(proposal) = &mut self.proposal
            && number < proposal.answer.placements.len()
            && !proposal.chosen.remove(&number)
        {
            proposal.chosen.insert(number);
        }
    }

    /// Fills a part of the floor, or the whole room.
    pub fn set_part(&mut self, part: Option<(Point, Point)>) {
        self.part = part;
        self.marking = false;
    }

    /// Begins or leaves marking the part by a drag.
    pub fn mark(&mut self, marking: bool) {
        self.marking = marking;
    }

    /// The part of the floor to fill; the whole room where `None`.
    pub fn part(&self) -> Option<(Point, Point)> {
        self.part
    }

    /// True while the next drag over the floor marks the part.
    pub fn is_marking(&self) -> bool {
        self.marking
    }

    /// How long the search has been running, while it is.
    pub fn running(&self) -> Option<Duration> {
        self.run.as_ref().map(|run| run.begun.elapsed())
    }

    /// True while that phase is being searched.
    pub fn is_searching(&self, phase: PhaseNo) -> bool {
        self.run.as_ref().is_some_and(|run| run.ask.phase == phase)
    }

    /// The phase that is being searched, or whose answer is on show.
    pub fn phase(&self) -> Option<PhaseNo> {
        let run = self.run.as_ref().map(|run| run.ask.phase);
        run.or(self.proposal.as_ref().map(|p| p.ask.phase))
    }

    /// The answer on show.
    pub fn proposal(&self) -> Option<&Proposal> {
        self.proposal.as_ref()
    }

    /// The answer on show, where it is of that phase.
    pub fn proposal_in(&self, phase: PhaseNo) -> Option<&Proposal> {
        self.proposal.as_ref().filter(|p| p.ask.phase == phase)
    }

    /// Why there was nothing to search, or what went wrong.
    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// What is known of how many printers a phase truly holds, where that still holds for this plan. Only searches of the
    /// whole room tell.
    pub fn known(&self, plan: &Arc<Plan>, phase: PhaseNo) -> Option<&Answer> {
        let known = self.known.get(&phase)?;
        let holds = known.grounds.iter().any(|ground| ground.holds_for(plan));
        holds.then_some(&known.answer)
    }
}

/// What was chosen before and still stands in the new answer, by its new number.
fn still_chosen(before: &Proposal, placements: &[fill::Placement]) -> BTreeSet<usize> {
    let kept: Vec<&fill::Placement> = before
        .chosen
        .iter()
        .filter_map(|k| before.answer.placements.get(*k))
        .collect();
    placements
        .iter()
        .enumerate()
        .filter(|(_, p)| kept.contains(p))
        .map(|(k, _)| k)
        .collect()
}

/// Remembers an answer of the whole room, unless a better one to the same question is known already.
fn learn(known: &mut BTreeMap<PhaseNo, Known>, run: &Run, answer: &Answer) {
    let better = known.get(&run.ask.phase).is_none_or(|old| {
        let same =
            old.kinds == run.ask.kinds && old.grounds.iter().any(|g| g.holds_for(&run.ground.plan));
        let rank = |a: &Answer| (a.is_proved(), a.printers, std::cmp::Reverse(a.bound));
        !same || rank(answer) >= rank(&old.answer)
    });
    if better {
        known.insert(
            run.ask.phase,
            Known {
                grounds: vec![run.ground.clone()],
                kinds: run.ask.kinds.clone(),
                answer: answer.clone(),
            },
        );
    }
}

/// The time, to tell how long a search has been running.
#[expect(
    clippy::disallowed_methods,
    reason = "the editor is where the clock is looked at"
)]
fn now() -> Instant {
    Instant::now()
}
