//! The plan as it is meant: what is bought, wired, placed and switched, all names resolved.
//!
//! Only stanzas without an error are here as stock, items and so on; an item that hangs on a
//! stanza in error is left out with it. Indices ([`ItemId`] and its like) point into the vectors
//! of [`Plan`].

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use rustc_hash::FxHashSet;

use super::curve::LampCurve;
use super::elsewhere::Elsewhere;
use super::sources::{FileKey, UseFailure};
use crate::syntax::tree::{File, Name, Stanza};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;
use crate::units::*;

macro_rules! ids {
    ($($(#[$doc:meta])* $id:ident),* $(,)?) => { $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $id(pub usize);
    )* };
}

ids! {
    /// Index into [`Plan::files`].
    FileId,
    /// Index into [`Plan::wires`].
    WireId,
    /// Index into [`Plan::tapes`].
    TapeId,
    /// Index into [`Plan::leds`].
    LedId,
    /// Index into [`Plan::modules`].
    ModuleId,
    /// Index into [`Plan::items`].
    ItemId,
    /// Index into [`Plan::links`].
    LinkId,
    /// Index into [`Plan::zones`].
    ZoneId,
    /// Index into [`Plan::passages`].
    PassageId,
}

/// Something for each of some names.
pub type ByName<T> = HashMap<Name, T, foldhash::fast::RandomState>;

/// A stanza of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct StanzaId {
    /// The file it stands in.
    pub file: FileId,
    /// Its place among the file's stanzas.
    pub index: usize,
}

/// A file of the plan, as read. The first is the plan's own, the others come by `use`.
#[derive(Clone, Debug)]
pub struct SourceFile {
    /// What identifies it.
    pub key: FileKey,
    /// Its text.
    pub text: Arc<str>,
    /// Its stanzas.
    pub tree: File,
}

/// Files that a plan would have if what is likely meant were written; with them that can be tried.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeantFiles {
    /// Their texts.
    pub texts: BTreeMap<FileKey, Arc<str>>,
    /// Where a path, written in a file, would lead to one of them, or leads from one of them.
    pub led_to: Vec<(FileKey, Arc<str>, FileKey)>,
}

/// The whole plan.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// The files; [`FileId`]`(0)` is the plan's own.
    pub files: Vec<SourceFile>,
    /// Where each `use` led: (the file it stands in, its path as written) → the file it brings in.
    pub uses: HashMap<(FileKey, Arc<str>), Result<FileKey, UseFailure>>,
    /// Files that are not used, but were likely meant by a `use` that leads to none.
    pub meant: MeantFiles,
    /// All stanzas in the order of the plan: a used file's stand where its `use` stands.
    pub order: Vec<StanzaId>,
    /// What the `harness` stanza says.
    pub settings: Settings,
    /// Wires of the stock.
    pub wires: Vec<Wire>,
    /// Tapes of the stock.
    pub tapes: Vec<Tape>,
    /// Leds of the stock.
    pub leds: Vec<Led>,
    /// Modules of the stock.
    pub modules: Vec<Module>,
    /// Items in the order of the plan; a copy is a joint, its pieces follow it.
    pub items: Vec<Item>,
    /// Links.
    pub links: Vec<Link>,
    /// Zones.
    pub zones: Vec<Zone>,
    /// Passages.
    pub passages: Vec<Passage>,
    /// Scenes as written; the implied `all-on` is not among them.
    pub scenes: Vec<Scene>,
    /// Stages in their order.
    pub stages: Vec<Stage>,
    /// Records of pieces tried.
    pub trials: Vec<Trial>,
    /// Every name that a stanza defines, those in error too.
    pub names: ByName<Definition>,
    /// Every place where a name is used, and what it leads to.
    pub references: Vec<Reference>,
    /// What is wrong with the reading; such stanzas are left out above.
    pub problems: Vec<Problem>,
    /// Stanzas in error, and those left out because they hang on one.
    pub left_out: FxHashSet<StanzaId>,
    /// The names that lead nowhere, as written, and where.
    pub unknown: Vec<(StanzaId, Name)>,
    /// How many names one that leads nowhere is compared with.
    pub compared: usize,
    /// Of a plan that is a part of a larger one: what there is in the rest.
    pub elsewhere: Elsewhere,
}

/// What the `harness` stanza says, with its defaults.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The title.
    pub title: Option<Arc<str>>,
    /// The `harness` stanza.
    pub stanza: Option<StanzaId>,
    /// The N of `scale 1:N`.
    pub scale: Option<f64>,
    /// The temperature around the wires.
    pub ambient: ThermodynamicTemperature,
    /// The part of a supply's limit that is kept free.
    pub headroom: Ratio,
    /// How much of a source's voltage may be lost on the way to a light.
    pub max_drop: Ratio,
    /// How far supplies stray.
    pub tolerance: Ratio,
    /// The supply that pieces are tried on, where stated.
    pub bench: Option<ElectricPotential>,
    /// Added at each end of a run in the cutting list.
    pub slack: Length,
    /// Whether no single break may darken more than one light.
    pub survives_one_break: bool,
    /// Checks that have another severity in this plan: the check, and `off`, `hint`, `warning` or `error`.
    pub treat: Vec<(Arc<str>, &'static str)>,
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            title: None,
            stanza: None,
            scale: None,
            ambient: celsius(20.0),
            headroom: ratio(0.20),
            max_drop: ratio(0.05),
            tolerance: ratio(0.05),
            bench: None,
            slack: metres(0.015),
            survives_one_break: false,
            treat: Vec::new(),
        }
    }
}

/// What is at hand of some stock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AtHand {
    /// So much of it.
    Length(Length),
    /// So many.
    Pieces(u32),
}

/// Wire of the stock.
#[derive(Clone, Debug)]
pub struct Wire {
    /// Its name.
    pub name: Name,
    /// Its stanza.
    pub stanza: StanzaId,
    /// The copper's diameter (ASTM B258 for a gauge; the round one of the same area for an area).
    pub copper: Length,
    /// `enamel`, `pvc`, `silicone`, `ptfe`, `none`, where stated.
    pub insulation: Option<&'static str>,
    /// The stated diameter over the insulation.
    pub outer: Option<Length>,
    /// The colours: of plus and minus, or one for both.
    pub colours: Vec<Name>,
    /// The stated current that it may carry.
    pub carries: Option<ElectricCurrent>,
    /// What is at hand.
    pub have: Option<AtHand>,
}

/// Cuttable tape of the stock.
#[derive(Clone, Debug)]
pub struct Tape {
    /// Its name.
    pub name: Name,
    /// Its stanza.
    pub stanza: StanzaId,
    /// How many lamps share a resistor.
    pub lamps: u32,
    /// How long a group is.
    pub group: Length,
    /// The voltages that it works at.
    pub works: (ElectricPotential, ElectricPotential),
    /// What each group draws …
    pub draws: ElectricCurrent,
    /// … at this voltage.
    pub draws_at: ElectricPotential,
    /// The curve of each lamp.
    pub curve: LampCurve,
    /// The resistor of each group.
    pub resistor: ElectricalResistance,
    /// Colour of the light.
    pub colour: Option<&'static str>,
    /// The light of each group at `draws`.
    pub gives: Option<LuminousFlux>,
    /// Resistance of both tracks together, ohms per metre.
    pub track: ResistancePerLength,
    /// What is at hand.
    pub have: Option<AtHand>,
}

/// A bare lamp of the stock.
#[derive(Clone, Debug)]
pub struct Led {
    /// Its name.
    pub name: Name,
    /// Its stanza.
    pub stanza: StanzaId,
    /// Its curve, through the `drops` points.
    pub curve: LampCurve,
    /// The most that it may run at.
    pub limit: ElectricCurrent,
    /// Whether `limit` is stated.
    pub limit_stated: bool,
    /// Colour of the light.
    pub colour: Option<&'static str>,
    /// The light that it gives at the first `drops` current.
    pub gives: Option<Gives>,
    /// What is at hand.
    pub have: Option<AtHand>,
}

/// How much light a lamp gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Gives {
    /// All around.
    Flux(LuminousFlux),
    /// An intensity within a cone of this full angle.
    Beam(LuminousIntensity, Angle),
}

/// An effects board of the stock.
#[derive(Clone, Debug)]
pub struct Module {
    /// Its name.
    pub name: Name,
    /// Its stanza.
    pub stanza: StanzaId,
    /// The voltages that it works at, where stated.
    pub works: Option<(ElectricPotential, ElectricPotential)>,
    /// What it draws itself.
    pub draws: ElectricCurrent,
    /// Its outputs.
    pub outputs: Vec<Output>,
    /// Outputs (indices) of which only one is on at a time.
    pub turns: Vec<usize>,
    /// What is at hand.
    pub have: Option<AtHand>,
}

/// An output of a module.
#[derive(Clone, Debug)]
pub struct Output {
    /// Its name.
    pub name: Name,
    /// The voltage that it is regulated to; `None`: it hands on what the board is fed.
    pub volts: Option<ElectricPotential>,
    /// What it may give.
    pub limit: ElectricCurrent,
    /// The part of the time that it is on.
    pub duty: Option<Ratio>,
    /// How often it flashes.
    pub flash: Option<Frequency>,
    /// It flickers.
    pub flickers: bool,
    /// It switches the minus.
    pub sinks: bool,
}

/// An item of the wiring.
#[derive(Clone, Debug)]
pub struct Item {
    /// Its name; a copy's pieces are `copy.piece`.
    pub name: Name,
    /// The word of its stanza; a copy keeps [`StanzaWord::Copy`] (in lists it is a joint).
    pub word: StanzaWord,
    /// The stanza that defines it; for a piece of a copy, the pattern's piece.
    pub stanza: StanzaId,
    /// For a piece of a copy: the copy.
    pub copy: Option<ItemId>,
    /// What it is.
    pub part: Part,
    /// What feeds it; `None` for a supply.
    pub feed: Option<Feed>,
    /// Where it sits: its own `in`, or that of what feeds it.
    pub zone: Option<ZoneId>,
}

/// What an item is.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// A source.
    Supply(Supply),
    /// A fuse.
    Fuse {
        /// Its rating.
        rating: ElectricCurrent,
        /// How it acts.
        character: FuseCharacter,
        /// Its resistance.
        resistance: ElectricalResistance,
    },
    /// A switch in the plus leg.
    Switch {
        /// What its contacts may carry.
        rated: Option<ElectricCurrent>,
    },
    /// A plug and socket, a contact in each leg.
    Connector {
        /// What its contacts may carry.
        rated: Option<ElectricCurrent>,
        /// Resistance of each contact.
        contact: ElectricalResistance,
    },
    /// A splice; a copy is one.
    Joint,
    /// A resistor in the plus leg.
    Resistor {
        /// Its resistance.
        ohms: ElectricalResistance,
        /// Its power rating.
        rating: Option<Power>,
    },
    /// A diode in the plus leg.
    Diode {
        /// What it takes while it conducts.
        drops: ElectricPotential,
    },
    /// A bridge rectifier.
    Rectifier {
        /// What it takes while it conducts.
        drops: ElectricPotential,
    },
    /// A regulator.
    Regulator {
        /// The voltage that it gives.
        volts: ElectricPotential,
        /// The most that it may give.
        limit: ElectricCurrent,
        /// How it works.
        way: RegulatorWay,
    },
    /// A cut of tape.
    Strip {
        /// Of which stock.
        tape: TapeId,
        /// Whole groups; the figures count these.
        groups: u32,
        /// The cut as the plan states it.
        cut: Cut,
        /// Running it low is meant.
        dimmed: bool,
    },
    /// A single lamp, or lamps in series.
    Lamps {
        /// Of which stock.
        led: LedId,
        /// How many in series: 1 for a lamp.
        count: u32,
        /// The resistor in its plus leg.
        resistor: Option<Ballast>,
        /// The current that is wanted.
        runs_at: Option<ElectricCurrent>,
    },
    /// An effects board.
    Board {
        /// Of which stock.
        module: ModuleId,
    },
    /// Anything else.
    Load(Load),
}

/// A source.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Its voltage; a battery's when full.
    pub volts: ElectricPotential,
    /// The most that it gives.
    pub limit: Option<ElectricCurrent>,
    /// Its inner resistance.
    pub resistance: ElectricalResistance,
    /// How far it strays: its own, or the plan's.
    pub tolerance: Ratio,
    /// The plus may be on either rail.
    pub either_way: bool,
    /// A battery's capacity.
    pub capacity: Option<ElectricCharge>,
    /// The voltage at which it counts as empty.
    pub spent: Option<ElectricPotential>,
    /// How long it is to last.
    pub lasts: Option<Time>,
}

/// How a fuse acts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FuseCharacter {
    /// Quick-acting.
    Quick,
    /// Time-lag.
    Slow,
    /// Heals when it cools.
    Resettable,
}

/// How a regulator works.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RegulatorWay {
    /// It switches.
    Switching {
        /// Power out over power in.
        efficiency: Ratio,
    },
    /// It wastes what is over.
    Linear {
        /// What it needs above its voltage.
        dropout: ElectricPotential,
    },
}

/// How a cut of tape is stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cut {
    /// `6 lamps`
    Lamps(u32),
    /// `2 groups`
    Groups(u32),
    /// `100 mm`
    Length(Length),
}

/// The resistor of a lamp or string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ballast {
    /// Its resistance.
    pub ohms: ElectricalResistance,
    /// Its power rating.
    pub rating: Option<Power>,
    /// It sits at the lamp; else at the start of the run, so that the wire is behind it.
    pub at_lamp: bool,
}

/// What a load takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Load {
    /// A current, whatever its voltage; the voltage it is stated at, if any, is for reading only.
    Draws(ElectricCurrent, Option<ElectricPotential>),
    /// A power, whatever its voltage.
    Takes(Power),
    /// A resistance.
    Resistance(ElectricalResistance),
}

/// A point that feeds: an item that hands power on, or an output of a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Point {
    /// The item.
    pub item: ItemId,
    /// For a board: which of its module's outputs.
    pub output: Option<usize>,
}

/// How an item is fed.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// The point of the plus leg, and of the minus leg too unless `back` says otherwise.
    pub from: Point,
    /// The run of the plus leg; `None`: the item sits on the point itself.
    pub run: Option<Run>,
    /// `return to`: where the minus leg goes instead.
    pub back: Option<Point>,
    /// The run of the minus leg: its own where one is given, else like the plus leg's.
    pub back_run: Option<Run>,
}

impl Feed {
    /// The point that the minus leg goes to.
    pub fn minus(&self) -> Point {
        self.back.unwrap_or(self.from)
    }
}

/// A length of wire on its way.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// How long each wire is.
    pub length: Length,
    /// Of which stock.
    pub wire: WireId,
    /// The passages, in order.
    pub via: Vec<PassageId>,
}

/// A second way round.
#[derive(Clone, Debug)]
pub struct Link {
    /// Its name.
    pub name: Name,
    /// Its stanza.
    pub stanza: StanzaId,
    /// The points that it joins.
    pub ends: (Point, Point),
    /// Its run; `None`: the points are joined directly.
    pub run: Option<Run>,
}

/// A space in the model.
#[derive(Clone, Debug)]
pub struct Zone {
    /// Its name.
    pub name: Name,
    /// Its stanza.
    pub stanza: StanzaId,
    /// Its inner surface.
    pub inside: Option<Area>,
    /// Its windows.
    pub windows: Option<Area>,
    /// What its walls reflect, where stated.
    pub reflects: Option<Ratio>,
    /// `styrene`, `abs`, `resin`, `wood`, `metal`, where stated.
    pub material: Option<&'static str>,
    /// It cannot be opened again.
    pub sealed: bool,
    /// It is a part that is taken off.
    pub lifts_off: bool,
    /// Its windows are to look as bright as that zone's.
    pub as_bright_as: Option<ZoneId>,
}

/// A hole or slot between two zones.
#[derive(Clone, Debug)]
pub struct Passage {
    /// Its name.
    pub name: Name,
    /// Its stanza.
    pub stanza: StanzaId,
    /// The zones that it joins.
    pub ends: Option<(ZoneId, ZoneId)>,
    /// Its opening.
    pub opening: Option<Opening>,
}

/// The opening of a passage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Opening {
    /// A round hole.
    Bore(Length),
    /// A slot, width by height.
    Slot(Length, Length),
}

/// A state of the model.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Its name.
    pub name: Name,
    /// Its stanza.
    pub stanza: StanzaId,
    /// What is on.
    pub choice: Choice,
}

/// What is on in a scene.
#[derive(Clone, Debug, PartialEq)]
pub enum Choice {
    /// Everything.
    All,
    /// Everything but these.
    Off(Vec<Point>),
    /// Of the lights, only these.
    Only(Vec<Point>),
}

/// A stage of the work.
#[derive(Clone, Debug)]
pub struct Stage {
    /// Its name.
    pub name: Name,
    /// Its stanza.
    pub stanza: StanzaId,
    /// The pieces that are fitted.
    pub fits: Vec<Point>,
    /// The zones that are closed at its end.
    pub seals: Vec<ZoneId>,
    /// The day that it was finished.
    pub done: Option<Arc<str>>,
}

/// What a piece drew when it was tried alone.
#[derive(Clone, Debug)]
pub struct Trial {
    /// Its stanza.
    pub stanza: StanzaId,
    /// The piece.
    pub item: ItemId,
    /// What it drew …
    pub drew: ElectricCurrent,
    /// … at this voltage.
    pub at: ElectricPotential,
    /// The day.
    pub on: Option<Arc<str>>,
}

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Definition {
    /// The word of the stanza that defines it.
    pub word: StanzaWord,
    /// The stanza; for a piece of a copy, the pattern's piece.
    pub stanza: StanzaId,
    /// Where its name stands in that stanza.
    pub span: Span,
    /// What it became, where it is not in error.
    pub target: Option<Target>,
}

/// What a name leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Target {
    /// A wire.
    Wire(WireId),
    /// A tape.
    Tape(TapeId),
    /// A led.
    Led(LedId),
    /// A module.
    Module(ModuleId),
    /// An item.
    Item(ItemId),
    /// A link.
    Link(LinkId),
    /// A zone.
    Zone(ZoneId),
    /// A passage.
    Passage(PassageId),
    /// A pattern (its stanza).
    Pattern(StanzaId),
}

/// A place where a name is used.
#[derive(Clone, Debug)]
pub struct Reference {
    /// The stanza that uses it.
    pub stanza: StanzaId,
    /// Where, in that stanza.
    pub span: Span,
    /// The name that it leads to (for `blink.a`, the board's).
    pub name: Name,
    /// The stanza that defines it.
    pub definition: StanzaId,
}

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// Something to know.
    Hint,
    /// It may go wrong.
    Warning,
    /// It is wrong.
    Error,
}

/// Something wrong with the reading of a stanza.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// The check it belongs to.
    pub check: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// The stanza.
    pub stanza: StanzaId,
    /// The words at fault, relative to the stanza.
    pub span: Span,
    /// What is wrong, what was expected, what to do.
    pub message: String,
    /// Other places that explain it.
    pub related: Vec<(StanzaId, Span, String)>,
    /// Repairs, the preferred one first.
    pub mends: Vec<ProblemMend>,
}

/// A repair of the text.
#[derive(Clone, Debug, PartialEq)]
pub struct ProblemMend {
    /// What it does.
    pub title: String,
    /// What is put in place of what.
    pub edits: Vec<Edit>,
}

/// A change of the text: what is put in place of what, relative to the stanza.
#[derive(Clone, Debug, PartialEq)]
pub struct Edit {
    /// The stanza.
    pub stanza: StanzaId,
    /// The words that go; empty to insert.
    pub span: Span,
    /// What comes in their place.
    pub text: String,
}

impl Plan {
    /// A stanza's tree.
    pub fn stanza(&self, id: StanzaId) -> &Stanza {
        &self.files[id.file.0].tree.stanzas[id.index].stanza
    }

    /// A span of a stanza as a span of its file.
    pub fn in_file(&self, id: StanzaId, span: Span) -> Span {
        span.shifted(self.files[id.file.0].tree.stanzas[id.index].start)
    }

    /// The stanza of a file that holds this offset.
    pub fn stanza_at(&self, file: FileId, offset: u32) -> Option<StanzaId> {
        let stanzas = &self.files.get(file.0)?.tree.stanzas;
        let after = stanzas.partition_point(|s| s.start <= offset);
        after.checked_sub(1).map(|index| StanzaId { file, index })
    }

    /// The item of this name.
    pub fn item(&self, name: &str) -> Option<ItemId> {
        self.items
            .iter()
            .position(|i| &*i.name.0 == name)
            .map(ItemId)
    }

    /// The lights: strips, lamps and strings.
    pub fn lights(&self) -> impl Iterator<Item = ItemId> + '_ {
        (0..self.items.len())
            .map(ItemId)
            .filter(|i| self.items[i.0].word.is_light())
    }

    /// The output of a board that a point names.
    pub fn output(&self, point: Point) -> Option<&Output> {
        match self.items[point.item.0].part {
            Part::Board { module } => self.modules[module.0].outputs.get(point.output?),
            _ => None,
        }
    }

    /// How a point is written: `keel`, `blink.a`.
    pub fn point_name(&self, point: Point) -> String {
        let item = &self.items[point.item.0].name.0;
        match self.output(point) {
            Some(output) => format!("{item}.{}", output.name.0),
            None => item.to_string(),
        }
    }
}

impl Item {
    /// Whether it gives light.
    pub fn is_light(&self) -> bool {
        self.word.is_light()
    }

    /// The word under which lists show it: a copy is a joint.
    pub fn kind(&self) -> &'static str {
        if self.word == StanzaWord::Copy {
            StanzaWord::Joint.word()
        } else {
            self.word.word()
        }
    }
}
