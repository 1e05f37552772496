//! What a kind of thing is: sizes, working zones and data sheet figures. A figure that nobody entered is `None`, and
//! what depends on it is then *unknown*, never silently fine.

use serde::{Deserialize, Serialize};

use super::KindId;
use crate::units::{
    AmpHours, Amps, Angle, CubicMetresPerHour, Density, Kelvins, Kilograms, Length, Lumens,
    Megapascals, MetresPerSecond, Minutes, Ratio, VoltAmps, Volts, Watts,
};

/// Where the electrical figures of a kind come from; shown beside every result that rests on them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum FigureOrigin {
    /// Read off the maker's data sheet or rating plate.
    DataSheet,
    /// Read off a meter on the machine itself.
    Meter,
    /// A usual figure for machines of this size, until somebody measures.
    #[default]
    Guess,
}

impl FigureOrigin {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::DataSheet, Self::Meter, Self::Guess];

    /// The origin in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::DataSheet => "data sheet",
            Self::Meter => "metered",
            Self::Guess => "a guess until metered",
        }
    }
}

/// How sure a figure of a material is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Known {
    /// A published table, read there.
    Published,
    /// From memory, not looked up again.
    Memory,
    /// Entered by the owner of the plan.
    Owner,
}

/// A figure of a material with where it comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figure<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub source: String,
    /// How sure that is.
    pub sure: Known,
}

impl<T> Figure<T> {
    /// The source with its sureness, as shown beside a finding.
    pub fn source_words(&self) -> String {
        match self.sure {
            Known::Published => self.source.clone(),
            Known::Memory => format!("{} (from memory)", self.source),
            Known::Owner => format!("{} (the owner's own)", self.source),
        }
    }
}

/// What the boards of a rack rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Support {
    /// One board over the clear width, on its two ends alone.
    Ends,
    /// One board over the clear width, on its ends and so many bars from front to back, evenly apart.
    CrossBars(u8),
    /// A panel for each place, its ends on bars from front to back.
    Panels,
    /// Beams along front and back: the board spans the depth.
    Beams,
}

/// How well what is printed bears a draught.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Prints {
    /// Materials that hardly shrink as they cool: PLA, PETG, TPU (common practice, no source).
    Easy,
    /// Materials that warp or split when they cool unevenly: ABS, ASA, nylon, polycarbonate (common practice, no source).
    Warping,
}

impl Prints {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Easy, Self::Warping];

    /// What it is, for a list.
    pub fn words(self) -> &'static str {
        match self {
            Self::Easy => "easy ones (PLA, PETG, TPU)",
            Self::Warping => "ones that warp (ABS, ASA, nylon)",
        }
    }
}

/// A place on a machine that a person must touch or see, from the board it stands on and from the front of its envelope.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Touch {
    /// Height above the board.
    pub height: Length,
    /// Depth behind the front of the envelope.
    pub depth: Length,
}

/// A kind of printer. The envelope is everything the machine needs while it works: moving bed, open lid, cable, spool.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrinterKind {
    /// Name for people.
    pub name: String,
    /// True for a machine in a closed case, which a draught does not reach.
    #[serde(default)]
    pub enclosed: bool,
    /// Width of the envelope in use.
    pub width: Length,
    /// Depth of the envelope in use.
    pub depth: Length,
    /// Height of the envelope in use, spool on top included.
    pub height: Length,
    /// Mass with a full spool.
    #[serde(default)]
    pub mass: Option<Kilograms>,
    /// Greatest power, everything heating.
    #[serde(default)]
    pub peak: Option<Watts>,
    /// Mean power while printing.
    #[serde(default)]
    pub running: Option<Watts>,
    /// Power while idle.
    #[serde(default)]
    pub standby: Option<Watts>,
    /// Power factor: watts over volt-amperes.
    #[serde(default)]
    pub power_factor: Option<Ratio>,
    /// Current that leaks to earth all the time, from its data sheet or a meter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leakage: Option<Amps>,
    /// Greatest rush of current when it is switched on, from its data sheet or a meter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inrush: Option<Amps>,
    /// True where its supply takes any voltage from 100 to 240 V, as its plate says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub auto_ranging: Option<bool>,
    /// Where the power figures come from.
    #[serde(default)]
    pub figures: FigureOrigin,
    /// Length of the mains cord.
    #[serde(default)]
    pub cord: Option<Length>,
    /// The air speed that this kind bears while printing, where it is not the limit of the plan.
    #[serde(default)]
    pub draught: Option<MetresPerSecond>,
    /// What is printed on it, where a printer does not say otherwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub prints: Option<Prints>,
    /// The bed, where parts are taken off.
    #[serde(default)]
    pub bed: Option<Touch>,
    /// The screen or knob.
    #[serde(default)]
    pub screen: Option<Touch>,
    /// The spool holder.
    #[serde(default)]
    pub spool: Option<Touch>,
    /// What the envelope was measured as, part by part, where somebody did.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Box<MeasuredEnvelope>>,
}

impl PrinterKind {
    /// What an operator reaches for, by name, where it was measured.
    pub fn touches(&self) -> [(&'static str, Option<Touch>); 3] {
        [
            ("bed", self.bed),
            ("screen", self.screen),
            ("spool", self.spool),
        ]
    }
}

/// What the envelope of a printer was measured as: the case at rest and what goes beyond it in use. A part that is not there
/// measures 0; `None` is a figure that nobody took, which then is missing in the envelope.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredEnvelope {
    /// Width of the case.
    pub width: Length,
    /// Depth of the case.
    pub depth: Length,
    /// Height of the case.
    pub height: Length,
    /// How far the bed goes beyond the front of the case.
    #[serde(default)]
    pub bed_front: Option<Length>,
    /// How far the bed goes beyond the back of the case.
    #[serde(default)]
    pub bed_back: Option<Length>,
    /// How far the open lid stands above the case.
    #[serde(default)]
    pub lid: Option<Length>,
    /// How far a spool stands above the case.
    #[serde(default)]
    pub spool_above: Option<Length>,
    /// How far a spool stands out at a side of the case.
    #[serde(default)]
    pub spool_beside: Option<Length>,
    /// How far plug and cable stand out behind the case.
    #[serde(default)]
    pub cable: Option<Length>,
}

impl MeasuredEnvelope {
    /// Width, depth and height in use; what nobody measured counts as 0, see [`MeasuredEnvelope::missing`].
    pub fn in_use(&self) -> (Length, Length, Length) {
        let or_none = Option::unwrap_or_default;
        let behind = or_none(self.bed_back).max(or_none(self.cable));
        let above = or_none(self.lid).max(or_none(self.spool_above));
        (
            self.width + or_none(self.spool_beside),
            self.depth + or_none(self.bed_front) + behind,
            self.height + above,
        )
    }

    /// The parts that nobody measured, in words.
    pub fn missing(&self) -> Vec<&'static str> {
        [
            ("bed to the front", self.bed_front),
            ("bed to the back", self.bed_back),
            ("open lid", self.lid),
            ("spool above", self.spool_above),
            ("spool beside", self.spool_beside),
            ("cable", self.cable),
        ]
        .into_iter()
        .filter_map(|(name, figure)| figure.is_none().then_some(name))
        .collect()
    }
}

/// A side of a rack at which a person works; `Front` looks down the sheet when the rack is not turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Face {
    /// Down the sheet when not turned.
    Front,
    /// Up the sheet when not turned.
    Back,
    /// The left end when seen from the front.
    Left,
    /// The right end when seen from the front.
    Right,
}

/// What a level without printers is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Stores {
    /// Spools and boxes.
    #[default]
    Spools,
    /// Nothing: it is kept empty.
    Nothing,
}

/// One level of a rack kind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LevelKind {
    /// Top of the board above the floor.
    pub height: Length,
    /// Printers side by side; 0 for a level without.
    pub slots: u8,
    /// What it is for where it has no printers.
    #[serde(default, skip_serializing_if = "is_spools")]
    pub stores: Stores,
    /// Its own board; that of the rack's kind where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub board: Option<KindId>,
    /// Thickness of its board, where that is not the one of the board's kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness: Option<Length>,
    /// The pads under its printers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pad: Option<KindId>,
    /// What its board rests on, where that is not as in the rack's kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub support: Option<Support>,
    /// Load that the maker allows on it, where that is not as in the rack's kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating: Option<Kilograms>,
    /// Mass of what is stored on it, where it has no printers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stored: Option<Kilograms>,
}

impl LevelKind {
    /// A level with the board of its rack's kind; without printers it is for spools.
    pub fn new(height: Length, slots: u8) -> Self {
        Self {
            height,
            slots,
            stores: Stores::Spools,
            board: None,
            thickness: None,
            pad: None,
            support: None,
            rating: None,
            stored: None,
        }
    }

    /// The kinds of board and pad that it names.
    pub fn kinds(&self) -> impl Iterator<Item = &KindId> {
        self.board.iter().chain(&self.pad)
    }
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "the serializer asks for a reference"
)]
fn is_spools(stores: &Stores) -> bool {
    *stores == Stores::Spools
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "the serializer asks for a reference"
)]
fn is_guess(origin: &FigureOrigin) -> bool {
    *origin == FigureOrigin::Guess
}

/// A kind of rack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RackKind {
    /// Name for people.
    pub name: String,
    /// Outside width.
    pub width: Length,
    /// Outside depth.
    pub depth: Length,
    /// Height of the posts.
    pub height: Length,
    /// Clear width between the posts.
    pub clear_width: Length,
    /// The board of each level.
    pub board: KindId,
    /// The levels, lowest first.
    pub levels: Vec<LevelKind>,
    /// The sides that a person works at.
    pub faces: Vec<Face>,
    /// Load that the maker allows in all.
    #[serde(default)]
    pub rating: Option<Kilograms>,
    /// Load that the maker allows on each level, the board counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level_rating: Option<Kilograms>,
    /// Its own mass without boards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<Kilograms>,
    /// What its boards rest on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub support: Option<Support>,
    /// True where it comes in parts that are put together in its place, false where it is carried in whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_parts: Option<bool>,
    /// The sides that a sheet or panel closes over the whole height, so that no air passes; none of an open rack.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub closed: Vec<Face>,
}

/// A kind of shelf board.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BoardKind {
    /// Name for people.
    pub name: String,
    /// Thickness.
    pub thickness: Length,
    /// Modulus of elasticity in bending, the least that its standard asks for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub modulus: Option<Figure<Megapascals>>,
    /// Bending strength, the least that its standard asks for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strength: Option<Figure<Megapascals>>,
    /// Density.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub density: Option<Figure<Density>>,
    /// What long loading adds to its first sag at worst, as a share of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub creep: Option<Figure<Ratio>>,
    /// True where it swells and softens in damp air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spoils_in_damp: Option<bool>,
}

/// A kind of pad that printers stand on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PadKind {
    /// Name for people.
    pub name: String,
    /// Thickness with nothing on it.
    pub thickness: Length,
    /// Thickness under a printer, where somebody measured it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compressed: Option<Length>,
    /// Mass of the pads under one printer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<Kilograms>,
}

impl PadKind {
    /// How much it lifts a printer: its full thickness until somebody measured it under one, so that nothing is said to fit which
    /// may not.
    pub fn lift(&self) -> Length {
        self.compressed.unwrap_or(self.thickness)
    }
}

/// A kind of uninterruptible supply.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UpsKind {
    /// Name for people.
    pub name: String,
    /// Width of the case.
    pub width: Length,
    /// Depth of the case.
    pub depth: Length,
    /// Height of the case.
    pub height: Length,
    /// Mass with its batteries.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<Kilograms>,
    /// Rated real power.
    #[serde(default)]
    pub watts: Option<Watts>,
    /// Rated apparent power.
    #[serde(default)]
    pub volt_amperes: Option<VoltAmps>,
    /// Share of the power taken that reaches the load.
    #[serde(default)]
    pub efficiency: Option<Ratio>,
    /// Power taken beside the load while the battery recharges.
    #[serde(default)]
    pub recharge: Option<Watts>,
    /// Receptacles on the battery side.
    pub receptacles: u8,
    /// Length of the mains cord.
    #[serde(default)]
    pub cord: Option<Length>,
    /// Current that the plug is made for.
    #[serde(default)]
    pub plug: Option<Amps>,
    /// Current that leaks to earth all the time, without its load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leakage: Option<Amps>,
    /// How long it carries loads, from the maker: the surest way to know.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub runtimes: Vec<Runtime>,
    /// Its battery, from which a time is estimated where the maker gives none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery: Option<Battery>,
}

/// How long a UPS carries a load, from its maker.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Runtime {
    /// The load.
    pub load: Watts,
    /// The time it is carried.
    pub lasts: Minutes,
}

impl Runtime {
    /// The most that are read of one kind.
    pub const MOST: usize = 12;

    /// What cannot be in a list of them, in a sentence.
    pub fn fault(list: &[Self]) -> Option<String> {
        if list.len() > Self::MOST {
            let most = Self::MOST;
            return Some(format!(
                "{} runtimes are listed; at most {most} are read",
                list.len()
            ));
        }
        let nought = |r: &Self| r.load.value() <= 0.0 || r.lasts.value() <= 0.0;
        if list.iter().any(nought) {
            return Some("a runtime has a load and a time above nought".to_owned());
        }
        list.iter().zip(list.iter().skip(1)).find_map(|(less, more)| {
            let (at, longer) = (more.load.shown(), more.lasts.shown());
            if more.load <= less.load {
                Some(format!(
                    "the runtimes stand from the least load to the greatest, each load once; {at} is out of place"
                ))
            } else if more.lasts >= less.lasts {
                Some(format!(
                    "{longer} at {at} is no less than {} at {}; a greater load is carried for less time",
                    less.lasts.shown(),
                    less.load.shown()
                ))
            } else {
                None
            }
        })
    }
}

/// The battery of a UPS.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Battery {
    /// Nominal voltage of the string.
    pub volts: Volts,
    /// Capacity at the rated time.
    pub capacity: AmpHours,
    /// The time that the capacity is rated for; usually 20 h.
    pub rated_over: Minutes,
    /// Exponent of Peukert's law: about 1.05 to 1.2 for absorbed glass mat, 1.1 to 1.25 for gel.
    pub exponent: Ratio,
    /// Share of its power that reaches the load while on battery.
    #[serde(default)]
    pub efficiency: Option<Ratio>,
    /// Share of its capacity left at its age; as new where nobody says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left: Option<Ratio>,
}

impl Battery {
    /// What cannot be, in sentences.
    pub fn faults(&self) -> Vec<&'static str> {
        let outside = |share: Option<Ratio>| {
            share.is_some_and(|share| share.value() <= 0.0 || share.value() > 1.0)
        };
        [
            (
                self.volts.value() <= 0.0,
                "the voltage of the battery is above nought",
            ),
            (
                self.rated_over.value() <= 0.0,
                "the time that the battery is rated for is above nought; 20 h is usual",
            ),
            (
                !(1.0..=2.0).contains(&self.exponent.value()),
                "the exponent of a battery lies between 1 and 2; most lie between 1.05 and 1.25",
            ),
            (
                outside(self.efficiency),
                "the share that reaches the load on battery lies above 0 % and up to 100 %",
            ),
            (
                outside(self.left),
                "the share of the battery that is left lies above 0 % and up to 100 %",
            ),
        ]
        .into_iter()
        .filter_map(|(broken, text)| broken.then_some(text))
        .collect()
    }
}

/// A fan speed of a cooling unit below its top one.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FanSpeed {
    /// What the maker calls it.
    pub name: String,
    /// Air flow at that speed.
    #[serde(default)]
    pub flow: Option<CubicMetresPerHour>,
}

/// A kind of cooling unit that hangs on a wall and blows into the room.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoolingKind {
    /// Name for people.
    pub name: String,
    /// Width along the wall.
    pub width: Length,
    /// Depth into the room.
    pub depth: Length,
    /// Height of the case.
    pub height: Length,
    /// Width of the air outlet.
    pub outlet_width: Length,
    /// Height of the air outlet.
    pub outlet_height: Length,
    /// Middle of the outlet above the bottom of the case.
    pub outlet_rise: Length,
    /// Air flow at the top fan speed.
    #[serde(default)]
    pub top_flow: Option<CubicMetresPerHour>,
    /// How much colder than the room the air comes out.
    #[serde(default)]
    pub supply_below_room: Option<Kelvins>,
    /// The fan speeds below the top one, fastest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lower_speeds: Vec<FanSpeed>,
    /// Angle of the vane below the level, in degrees: 0 blows level, more blows down. A placed unit may have its own.
    #[serde(default)]
    pub vane_down: Angle,
    /// Rated total capacity: heat and moisture together.
    #[serde(default)]
    pub capacity: Option<Watts>,
    /// Share of the capacity that takes heat and not moisture (sensible heat ratio), from its data sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sensible_share: Option<Ratio>,
    /// Share of the rated capacity that is left on the hottest day, from its data sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hot_day_share: Option<Ratio>,
    /// Where capacity and shares come from.
    #[serde(default, skip_serializing_if = "is_guess")]
    pub figures: FigureOrigin,
    /// Free space the maker asks for under and beside the case.
    #[serde(default)]
    pub clearance: Option<Length>,
}

/// A kind of light.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LightKind {
    /// Name for people.
    pub name: String,
    /// Length of the fixture.
    pub width: Length,
    /// Depth of the fixture.
    pub depth: Length,
    /// Height of the fixture.
    pub height: Length,
    /// Light that it gives in all.
    #[serde(default)]
    pub lumens: Option<Lumens>,
    /// Power that it draws.
    #[serde(default)]
    pub watts: Option<Watts>,
    /// Fixtures that the maker allows in one run on one feed.
    #[serde(default)]
    pub most_linked: Option<u8>,
}

/// A kind of camera.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CameraKind {
    /// Name for people.
    pub name: String,
    /// Side of its case, which is drawn as a square.
    pub side: Length,
    /// Angle that it sees across.
    #[serde(default)]
    pub view_across: Option<Angle>,
    /// Angle that it sees from top to bottom.
    #[serde(default)]
    pub view_up: Option<Angle>,
    /// How far off a print can still be judged in its picture.
    #[serde(default)]
    pub range: Option<Length>,
}
