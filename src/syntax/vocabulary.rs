//! The one table of the language: stanzas, clauses, units, and what stands where. The grammar,
//! completion, hover, messages and the tables of `docs/language.md` all come from it.

/// What a quantity measures. A quantity is kept in the SI unit named here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Volts.
    Voltage,
    /// Amperes.
    Current,
    /// Ohms.
    Resistance,
    /// Watts.
    Power,
    /// Metres.
    Length,
    /// Square metres.
    Area,
    /// The gauge number itself (ASTM B258).
    Gauge,
    /// Coulombs.
    Charge,
    /// Kelvin.
    Temperature,
    /// Hertz.
    Frequency,
    /// Seconds.
    Time,
    /// Lumens.
    Flux,
    /// Candela.
    Intensity,
    /// Radians.
    Angle,
    /// A plain ratio: 0.2 for 20 %.
    Percent,
}

/// A unit: its word, what it measures, and how it converts: SI = (number + `offset`) × `factor`.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    /// As written.
    pub word: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// SI units in one of this.
    pub factor: f64,
    /// Added to the number before the factor (temperatures only).
    pub offset: f64,
}

const fn unit(word: &'static str, dimension: Dimension, factor: f64) -> Unit {
    Unit {
        word,
        dimension,
        factor,
        offset: 0.0,
    }
}

/// All units, the most usual of each dimension first.
pub const UNITS: &[Unit] = &[
    unit("V", Dimension::Voltage, 1.0),
    unit("mV", Dimension::Voltage, 1e-3),
    unit("mA", Dimension::Current, 1e-3),
    unit("A", Dimension::Current, 1.0),
    unit("uA", Dimension::Current, 1e-6),
    unit("ohm", Dimension::Resistance, 1.0),
    unit("kohm", Dimension::Resistance, 1e3),
    unit("Mohm", Dimension::Resistance, 1e6),
    unit("Ω", Dimension::Resistance, 1.0),
    unit("kΩ", Dimension::Resistance, 1e3),
    unit("MΩ", Dimension::Resistance, 1e6),
    unit("W", Dimension::Power, 1.0),
    unit("mW", Dimension::Power, 1e-3),
    unit("mm", Dimension::Length, 1e-3),
    unit("cm", Dimension::Length, 1e-2),
    unit("m", Dimension::Length, 1.0),
    unit("ft", Dimension::Length, 0.3048),
    unit("inch", Dimension::Length, 0.0254),
    unit("cm2", Dimension::Area, 1e-4),
    unit("mm2", Dimension::Area, 1e-6),
    unit("in2", Dimension::Area, 0.0254 * 0.0254),
    unit("AWG", Dimension::Gauge, 1.0),
    unit("mAh", Dimension::Charge, 3.6),
    unit("Ah", Dimension::Charge, 3600.0),
    Unit {
        word: "degC",
        dimension: Dimension::Temperature,
        factor: 1.0,
        offset: 273.15,
    },
    Unit {
        word: "degF",
        dimension: Dimension::Temperature,
        factor: 5.0 / 9.0,
        offset: 459.67,
    },
    unit("Hz", Dimension::Frequency, 1.0),
    unit("s", Dimension::Time, 1.0),
    unit("ms", Dimension::Time, 1e-3),
    unit("min", Dimension::Time, 60.0),
    unit("h", Dimension::Time, 3600.0),
    unit("lm", Dimension::Flux, 1.0),
    unit("mcd", Dimension::Intensity, 1e-3),
    unit("cd", Dimension::Intensity, 1.0),
    unit("deg", Dimension::Angle, std::f64::consts::PI / 180.0),
    unit("%", Dimension::Percent, 0.01),
];

impl Dimension {
    /// What is asked for, in plain words: "a voltage".
    pub fn plain(self) -> &'static str {
        match self {
            Dimension::Voltage => "a voltage",
            Dimension::Current => "a current",
            Dimension::Resistance => "a resistance",
            Dimension::Power => "a power",
            Dimension::Length => "a length",
            Dimension::Area => "an area",
            Dimension::Gauge => "a wire gauge",
            Dimension::Charge => "a battery's capacity",
            Dimension::Temperature => "a temperature",
            Dimension::Frequency => "a frequency",
            Dimension::Time => "a time",
            Dimension::Flux => "an amount of light",
            Dimension::Intensity => "a luminous intensity",
            Dimension::Angle => "an angle",
            Dimension::Percent => "a percentage",
        }
    }

    /// The units that measure this, the most usual first.
    pub fn units(self) -> impl Iterator<Item = &'static Unit> {
        UNITS.iter().filter(move |u| u.dimension == self)
    }
}

/// What a name in some place names or must name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// It is defined here (stock, item, zone, passage, pattern, scene, stage).
    Defined,
    /// An output of a module, defined here.
    OutputDefined,
    /// A word that a pattern needs, defined here.
    NeedDefined,
    /// A point: an item that hands power on, or `BOARD.OUTPUT`.
    Point,
    /// An item, or `BOARD.OUTPUT`.
    Item,
    /// A wire of the stock.
    Wire,
    /// A tape of the stock.
    Tape,
    /// A led of the stock.
    Led,
    /// A module of the stock.
    Module,
    /// A zone.
    Zone,
    /// A passage.
    Passage,
    /// A pattern.
    Pattern,
    /// An output of the module that the stanza defines.
    Output,
    /// A word that the copied pattern needs.
    Need,
    /// What stands in for a needed word: any name of the plan.
    StandIn,
    /// A piece of the copied pattern, without the pattern's name.
    Piece,
    /// A check of the catalogue.
    Check,
    /// A colour of wire; a word outside [`WIRE_COLOURS`] is allowed, with a hint.
    WireColour,
}

/// What stands in one place of a head or a clause.
#[derive(Clone, Copy, Debug)]
pub enum Slot {
    /// This very word; it is not kept as a value.
    Word(&'static str),
    /// A quantity of this dimension.
    Quantity(Dimension),
    /// A number without a unit and one of these words behind it; with no words, alone.
    Count(&'static [&'static str]),
    /// A name.
    Name(Role),
    /// A text in double quotes.
    Text,
    /// `1:150`
    Scale,
    /// `2026-03-14`
    Date,
    /// A plain number, the edition.
    Number,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// All of these, or none.
    Optional(&'static [Slot]),
    /// The first of these that fits by its beginning.
    Either(&'static [&'static [Slot]]),
    /// Once or more, separated by commas.
    List(&'static [Slot]),
}

/// A clause, and what belongs to it.
#[derive(Debug)]
pub struct ClauseShape {
    /// The clause word.
    pub word: &'static str,
    /// What stands behind it.
    pub slots: &'static [Slot],
    /// The clauses that may stand right behind it and belong to it, in this order, each at most once.
    pub parts: &'static [ClauseShape],
    /// How often it stands.
    pub often: Often,
    /// Clauses of one stanza with the same mark here exclude each other.
    pub instead: Option<&'static str>,
    /// What it says, in a sentence or two for a builder.
    pub says: &'static str,
    /// How it is written, with usual values: what a mend or a completion puts in.
    pub usual: &'static str,
}

/// How often a clause stands in its stanza.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Often {
    /// Once or not at all.
    Optional,
    /// Once. Of clauses that exclude each other, one.
    Required,
    /// As often as needed.
    Repeats,
}

/// A stanza: its head and its clauses.
#[derive(Debug)]
pub struct StanzaShape {
    /// The stanza word as a value.
    pub stanza: StanzaWord,
    /// What stands behind the stanza word in a fixed place.
    pub head: &'static [Slot],
    /// The clauses, in any order.
    pub clauses: &'static [ClauseShape],
    /// What it is, in a sentence or two for a builder.
    pub says: &'static str,
    /// How it is written, with usual values.
    pub usual: &'static str,
}

macro_rules! stanza_words {
    ($($variant:ident $word:literal),* $(,)?) => {
        /// The words that begin a stanza.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[allow(missing_docs)] // each is the word itself, explained in its shape
        pub enum StanzaWord { $($variant),* }

        impl StanzaWord {
            /// All stanza words, in the order of the documentation.
            pub const ALL: &'static [StanzaWord] = &[$(StanzaWord::$variant),*];

            /// As written.
            pub fn word(self) -> &'static str {
                match self { $(StanzaWord::$variant => $word),* }
            }
        }
    };
}

stanza_words! {
    Harness "harness", Use "use",
    Wire "wire", Tape "tape", Led "led", Module "module",
    Supply "supply", Fuse "fuse", Switch "switch", Connector "connector", Joint "joint",
    Resistor "resistor", Diode "diode", Rectifier "rectifier", Regulator "regulator",
    Strip "strip", Lamp "lamp", String "string", Board "board", Load "load", Link "link",
    Zone "zone", Passage "passage",
    Scene "scene", Stage "stage", Tried "tried",
    Pattern "pattern", Copy "copy",
}

impl StanzaWord {
    /// The stanza word that is spelt like this.
    pub fn from_word(word: &str) -> Option<StanzaWord> {
        StanzaWord::ALL.iter().copied().find(|s| s.word() == word)
    }

    /// Its shape.
    pub fn shape(self) -> &'static StanzaShape {
        // The table stands in the order of the enumeration; a test holds the two against each other.
        &STANZAS[self as usize]
    }

    /// Whether the first value of its head is a name that it defines.
    pub fn defines_a_name(self) -> bool {
        !matches!(
            self,
            StanzaWord::Harness | StanzaWord::Use | StanzaWord::Tried
        )
    }

    /// Whether it is stock: something that is bought.
    pub fn is_stock(self) -> bool {
        matches!(
            self,
            StanzaWord::Wire | StanzaWord::Tape | StanzaWord::Led | StanzaWord::Module
        )
    }

    /// Whether it is an item of the wiring, with figures of its own (a copy is one, a link is not).
    pub fn is_item(self) -> bool {
        matches!(
            self,
            StanzaWord::Supply
                | StanzaWord::Fuse
                | StanzaWord::Switch
                | StanzaWord::Connector
                | StanzaWord::Joint
                | StanzaWord::Resistor
                | StanzaWord::Diode
                | StanzaWord::Rectifier
                | StanzaWord::Regulator
                | StanzaWord::Strip
                | StanzaWord::Lamp
                | StanzaWord::String
                | StanzaWord::Board
                | StanzaWord::Load
                | StanzaWord::Copy
        )
    }

    /// Whether it gives light: a strip, a lamp, a string.
    pub fn is_light(self) -> bool {
        matches!(
            self,
            StanzaWord::Strip | StanzaWord::Lamp | StanzaWord::String
        )
    }
}

/// Colours of light.
pub const LIGHT_COLOURS: &[&str] = &[
    "red",
    "amber",
    "yellow",
    "green",
    "blue",
    "white",
    "warm-white",
    "uv",
    "infrared",
];

/// Colours of wire: the names of IEC 60757 in full, and `natural` for bare enamel. Other words are
/// allowed, with a hint.
pub const WIRE_COLOURS: &[&str] = &[
    "black",
    "brown",
    "red",
    "orange",
    "yellow",
    "green",
    "blue",
    "violet",
    "grey",
    "white",
    "pink",
    "turquoise",
    "gold",
    "silver",
    "green-and-yellow",
    "natural",
];

const LAMPS: &[&str] = &["lamps", "lamp"];
const GROUPS: &[&str] = &["groups", "group"];

const fn shape(
    word: &'static str,
    slots: &'static [Slot],
    says: &'static str,
    usual: &'static str,
) -> ClauseShape {
    ClauseShape {
        word,
        slots,
        parts: &[],
        often: Often::Optional,
        instead: None,
        says,
        usual,
    }
}

impl ClauseShape {
    const fn required(mut self) -> Self {
        self.often = Often::Required;
        self
    }
    const fn repeats(mut self) -> Self {
        self.often = Often::Repeats;
        self
    }
    const fn instead(mut self, mark: &'static str) -> Self {
        self.instead = Some(mark);
        self
    }
    const fn with(mut self, parts: &'static [ClauseShape]) -> Self {
        self.parts = parts;
        self
    }
}

use Dimension as D;
use Slot::{
    Choice, Count, Date, Either, List, Name, Number, Optional, Quantity, Scale, Text, Word,
};

const NOTE: ClauseShape = shape(
    "note",
    &[Text],
    "A remark that is printed on the bench sheet.",
    "note \"…\"",
)
.repeats();
const ACCEPT: ClauseShape = shape(
    "accept",
    &[Name(Role::Check), Word("because"), Text],
    "Silences one check on this stanza. The reason is required and printed on the bench sheet.",
    "accept single-path because \"…\"",
)
.repeats();
const HAVE: ClauseShape = shape(
    "have",
    &[Either(&[&[Quantity(D::Length)], &[Count(&[])]])],
    "What is at hand: a length, or a number of pieces.",
    "have 5 m",
);
const OVER: ClauseShape = shape(
    "over",
    &[Quantity(D::Length), Word("of"), Name(Role::Wire)],
    "The run: how long each of its two wires is, and of which stock. Without it, the item sits on the point itself.",
    "over 100 mm of fine",
);
const VIA: ClauseShape = shape(
    "via",
    &[List(&[Name(Role::Passage)])],
    "The passages that the run goes through, in order.",
    "via stair",
);
const RETURN: ClauseShape = shape(
    "return",
    &[Word("to"), Name(Role::Point)],
    "Only the plus leg goes to the `from` point; the minus leg goes to this one.",
    "return to keel",
)
.with(&[OVER, VIA]);
const FROM: ClauseShape = shape(
    "from",
    &[Name(Role::Point)],
    "The point that feeds this item, by a pair of wires: an item that hands power on, or an output of a board.",
    "from keel",
)
.with(&[OVER, VIA, RETURN]);
const FED: ClauseShape = ClauseShape {
    often: Often::Required,
    ..FROM
};
const IN: ClauseShape = shape(
    "in",
    &[Name(Role::Zone)],
    "The zone that it sits in. Without it, where what feeds it sits.",
    "in saloon",
);
const RESISTANCE: ClauseShape = shape(
    "resistance",
    &[Quantity(D::Resistance)],
    "Its resistance.",
    "resistance 0.5 ohm",
);
const RATED: ClauseShape = shape(
    "rated",
    &[Quantity(D::Current)],
    "The current that its contacts may carry.",
    "rated 1 A",
);
const CONTACT: ClauseShape = shape(
    "contact",
    &[Quantity(D::Resistance)],
    "The resistance of each of its two contacts.",
    "contact 0.02 ohm",
);
const DROPS: ClauseShape = shape(
    "drops",
    &[Quantity(D::Voltage)],
    "The voltage that it takes while it conducts.",
    "drops 0.7 V",
);
const OHMS_OF_LIGHT: ClauseShape = shape(
    "resistor",
    &[Quantity(D::Resistance), Optional(&[Quantity(D::Power)])],
    "The resistor in its plus leg, and its power rating.",
    "resistor 560 ohm",
)
.with(&[shape(
    "at",
    &[Choice(&["start", "lamp"])],
    "Where the resistor sits: at the start of the run (the default, so that the wire is behind it), or at the lamp.",
    "at start",
)]);
const RUNS: ClauseShape = shape(
    "runs",
    &[Word("at"), Quantity(D::Current)],
    "The current that is wanted.",
    "runs at 10 mA",
);
const DIMMED: ClauseShape = shape("dimmed", &[], "Running it low is meant.", "dimmed");
const QUICK: ClauseShape =
    shape("quick", &[], "A quick-acting fuse (the default).", "quick").instead("character");
const SLOW: ClauseShape = shape("slow", &[], "A time-lag fuse.", "slow").instead("character");
const RESETTABLE: ClauseShape = shape(
    "resettable",
    &[],
    "A resettable fuse (it heals when it cools).",
    "resettable",
)
.instead("character");
const EFFICIENCY: ClauseShape = shape(
    "efficiency",
    &[Quantity(D::Percent)],
    "It switches, and wastes only the rest. Without it, it is linear.",
    "efficiency 88 %",
);
const DROPOUT: ClauseShape = shape(
    "dropout",
    &[Quantity(D::Voltage)],
    "How much a linear regulator needs above its voltage (default 1.5 V).",
    "dropout 1.5 V",
);
const LOAD_DRAWS: ClauseShape = shape(
    "draws",
    &[
        Quantity(D::Current),
        Optional(&[Word("at"), Quantity(D::Voltage)]),
    ],
    "The current that it draws, whatever its voltage.",
    "draws 20 mA",
);
const TAKES: ClauseShape = shape(
    "takes",
    &[Quantity(D::Power)],
    "The power that it takes, whatever its voltage.",
    "takes 0.5 W",
);
const WORKS: ClauseShape = shape(
    "works",
    &[Quantity(D::Voltage), Word("to"), Quantity(D::Voltage)],
    "The least and the greatest voltage that it works at.",
    "works 7 V to 12.6 V",
);

/// All stanzas, in the order of [`StanzaWord::ALL`].
pub const STANZAS: &[StanzaShape] = &[
    StanzaShape {
        stanza: StanzaWord::Harness,
        head: &[Text],
        clauses: &[
            shape("edition", &[Number], "The edition of the language that the file is written in.", "edition 1"),
            shape("scale", &[Scale], "The scale of the model.", "scale 1:150"),
            shape("ambient", &[Quantity(D::Temperature)], "The temperature around the wires (default 20 degC).", "ambient 20 degC"),
            shape("headroom", &[Quantity(D::Percent)], "The part of a supply's limit that is kept free (default 20 %).", "headroom 20 %"),
            shape("max-drop", &[Quantity(D::Percent)], "How much of a source's voltage may be lost on the way to a light (default 5 %).", "max-drop 5 %"),
            shape("tolerance", &[Quantity(D::Percent)], "How far supplies stray from their voltage (default 5 %).", "tolerance 5 %"),
            shape("bench", &[Quantity(D::Voltage)], "The supply that pieces are tried on before they are fitted (default: the plan's first supply).", "bench 12 V"),
            shape("slack", &[Quantity(D::Length)], "Added at each end of a run in the cutting list (default 15 mm).", "slack 15 mm"),
            shape("survives", &[Word("one"), Word("break")], "Asks for a harness in which no single break darkens more than one light.", "survives one break"),
            shape(
                "treat",
                &[Name(Role::Check), Word("as"), Choice(&["off", "hint", "warning", "error"])],
                "Gives a check another severity in this plan.",
                "treat resistor-not-preferred as off",
            )
            .repeats(),
            NOTE,
            ACCEPT,
        ],
        says: "The plan's title and what holds for all of it. Once, and optional.",
        usual: "harness \"Title\"",
    },
    StanzaShape {
        stanza: StanzaWord::Use,
        head: &[Text],
        clauses: &[NOTE, ACCEPT],
        says: "Brings in the stanzas of another harness file, once each. The path is relative to this file.",
        usual: "use \"stock.harness\"",
    },
    StanzaShape {
        stanza: StanzaWord::Wire,
        head: &[Name(Role::Defined)],
        clauses: &[
            shape("gauge", &[Quantity(D::Gauge)], "The copper by its gauge number (ASTM B258).", "gauge 28 AWG").instead("copper").required(),
            shape("diameter", &[Quantity(D::Length)], "The copper by its diameter.", "diameter 0.2 mm").instead("copper").required(),
            shape("area", &[Quantity(D::Area)], "The copper by its cross-section.", "area 0.14 mm2").instead("copper").required(),
            shape("insulation", &[Choice(&["enamel", "pvc", "silicone", "ptfe", "none"])], "What covers the copper.", "insulation enamel").with(&[shape(
                "outer",
                &[Quantity(D::Length)],
                "The diameter over the insulation.",
                "outer 1.3 mm",
            )]),
            shape("colours", &[List(&[Name(Role::WireColour)])], "The colour of the plus leg, then of the minus leg.", "colours red, black").instead("colours"),
            shape("colour", &[Name(Role::WireColour)], "The one colour, where both legs look alike.", "colour natural").instead("colours"),
            shape("carries", &[Quantity(D::Current)], "The current that it may carry. Without it, worked out from its size.", "carries 500 mA"),
            HAVE,
            NOTE,
            ACCEPT,
        ],
        says: "Wire from the stock.",
        usual: "wire fine\n  gauge 32 AWG\n  insulation enamel\n  colours red, green",
    },
    StanzaShape {
        stanza: StanzaWord::Tape,
        head: &[Name(Role::Defined)],
        clauses: &[
            shape("group", &[Count(LAMPS), Word("long"), Quantity(D::Length)], "How many lamps share one resistor, and how long such a group is. Tape can be cut only between groups.", "group 3 lamps long 50 mm").required(),
            WORKS.required(),
            shape(
                "draws",
                &[Either(&[&[Quantity(D::Current), Word("at"), Quantity(D::Voltage)], &[Quantity(D::Power), Word("per"), Word("m"), Word("at"), Quantity(D::Voltage)]])],
                "What each group draws at a voltage, or what a metre of the tape takes.",
                "draws 18 mA at 12 V",
            )
            .required(),
            shape("drops", &[Quantity(D::Voltage)], "The voltage of each lamp at the group's current. Without it, the usual one of the colour.", "drops 3.0 V"),
            shape("colour", &[Choice(LIGHT_COLOURS)], "The colour of the light.", "colour warm-white"),
            shape("gives", &[Quantity(D::Flux)], "The light of each group at the current under `draws`.", "gives 12 lm"),
            shape("track", &[Quantity(D::Resistance), Word("per"), Word("m")], "The resistance of both copper tracks together.", "track 0.3 ohm per m"),
            HAVE,
            NOTE,
            ACCEPT,
        ],
        says: "Cuttable tape from the stock.",
        usual: "tape warm\n  group 3 lamps long 50 mm\n  works 7 V to 12.6 V\n  draws 18 mA at 12 V\n  colour warm-white",
    },
    StanzaShape {
        stanza: StanzaWord::Led,
        head: &[Name(Role::Defined)],
        clauses: &[
            shape(
                "drops",
                &[List(&[Quantity(D::Voltage), Word("at"), Quantity(D::Current)])],
                "The lamp's voltage at a current, from its data sheet. A second point makes the curve truer.",
                "drops 3.0 V at 20 mA",
            )
            .required(),
            shape("limit", &[Quantity(D::Current)], "The most that it may run at for good (default 1.25 times the first `drops` current).", "limit 25 mA"),
            shape("colour", &[Choice(LIGHT_COLOURS)], "The colour of the light.", "colour white"),
            shape(
                "gives",
                &[Either(&[&[Quantity(D::Flux)], &[Quantity(D::Intensity), Word("over"), Quantity(D::Angle)]])],
                "The light that it gives at the first `drops` current.",
                "gives 5 lm",
            ),
            HAVE,
            NOTE,
            ACCEPT,
        ],
        says: "A bare lamp from the stock.",
        usual: "led pearl\n  drops 3.0 V at 20 mA\n  limit 25 mA\n  colour white",
    },
    StanzaShape {
        stanza: StanzaWord::Module,
        head: &[Name(Role::Defined)],
        clauses: &[
            WORKS,
            shape("draws", &[Quantity(D::Current)], "What the board itself draws, without its outputs.", "draws 5 mA"),
            shape(
                "output",
                &[Name(Role::OutputDefined), Optional(&[Quantity(D::Voltage)]), Quantity(D::Current)],
                "An output, and the current that it may give. With a voltage it is regulated to it; without, it hands on what the board is fed.",
                "output a 60 mA",
            )
            .repeats()
            .with(&[
                shape("duty", &[Quantity(D::Percent)], "The part of the time that it is on.", "duty 50 %"),
                shape("flash", &[Quantity(D::Frequency)], "How often it flashes.", "flash 1 Hz"),
                shape("flickers", &[], "It flickers, as a fire does.", "flickers"),
                shape("sinks", &[], "It switches the minus: its light is fed `from` a plus and returns to this output.", "sinks"),
            ]),
            shape("turns", &[List(&[Name(Role::Output)])], "Only one of these outputs is on at a time.", "turns a, b"),
            HAVE,
            NOTE,
            ACCEPT,
        ],
        says: "An effects board from the stock.",
        usual: "module flasher\n  works 6 V to 13 V\n  draws 3 mA\n  output a 60 mA flash 1 Hz",
    },
    StanzaShape {
        stanza: StanzaWord::Supply,
        head: &[Name(Role::Defined), Quantity(D::Voltage), Optional(&[Quantity(D::Current)])],
        clauses: &[
            RESISTANCE,
            shape("tolerance", &[Quantity(D::Percent)], "How far it strays from its voltage.", "tolerance 5 %"),
            shape("either-way", &[], "The plus may be on either rail, as on a track.", "either-way"),
            shape("capacity", &[Quantity(D::Charge)], "A battery's capacity.", "capacity 500 mAh"),
            shape("spent", &[Quantity(D::Voltage)], "The voltage at which a battery counts as empty.", "spent 6 V"),
            shape("lasts", &[Quantity(D::Time)], "How long a battery is to last (default 2 h).", "lasts 4 h"),
            IN,
            NOTE,
            ACCEPT,
        ],
        says: "A source: an adapter, a battery, a track. Its voltage, and the most that it gives.",
        usual: "supply adapter 12 V 1 A",
    },
    StanzaShape {
        stanza: StanzaWord::Fuse,
        head: &[Name(Role::Defined), Quantity(D::Current)],
        clauses: &[FED, QUICK, SLOW, RESETTABLE, RESISTANCE, IN, NOTE, ACCEPT],
        says: "A fuse and its rating, in the plus leg.",
        usual: "fuse F1 400 mA from adapter",
    },
    StanzaShape {
        stanza: StanzaWord::Switch,
        head: &[Name(Role::Defined)],
        clauses: &[FED, RATED, IN, NOTE, ACCEPT],
        says: "A switch in the plus leg.",
        usual: "switch lever from F1",
    },
    StanzaShape {
        stanza: StanzaWord::Connector,
        head: &[Name(Role::Defined)],
        clauses: &[FED, RATED, CONTACT, IN, NOTE, ACCEPT],
        says: "A plug and socket: a contact in each leg.",
        usual: "connector plug from F1",
    },
    StanzaShape {
        stanza: StanzaWord::Joint,
        head: &[Name(Role::Defined)],
        clauses: &[FED, IN, NOTE, ACCEPT],
        says: "A soldered splice or a terminal, where wires branch.",
        usual: "joint keel from F1 over 300 mm of hook",
    },
    StanzaShape {
        stanza: StanzaWord::Resistor,
        head: &[Name(Role::Defined), Quantity(D::Resistance), Optional(&[Quantity(D::Power)])],
        clauses: &[FED, IN, NOTE, ACCEPT],
        says: "A resistor in the plus leg, and its power rating.",
        usual: "resistor R1 100 ohm 1/4 W from keel",
    },
    StanzaShape {
        stanza: StanzaWord::Diode,
        head: &[Name(Role::Defined)],
        clauses: &[FED, DROPS, IN, NOTE, ACCEPT],
        says: "A diode in the plus leg: current passes one way only.",
        usual: "diode D1 from F1",
    },
    StanzaShape {
        stanza: StanzaWord::Rectifier,
        head: &[Name(Role::Defined)],
        clauses: &[FED, DROPS, IN, NOTE, ACCEPT],
        says: "A bridge rectifier: whichever way it is fed, plus comes out at plus.",
        usual: "rectifier bridge from F1",
    },
    StanzaShape {
        stanza: StanzaWord::Regulator,
        head: &[Name(Role::Defined), Quantity(D::Voltage), Quantity(D::Current)],
        clauses: &[FED, EFFICIENCY, DROPOUT, IN, NOTE, ACCEPT],
        says: "A regulator: the voltage that it gives, and the most current.",
        usual: "regulator low 5 V 500 mA efficiency 88 % from keel",
    },
    StanzaShape {
        stanza: StanzaWord::Strip,
        head: &[Name(Role::Defined), Word("of"), Name(Role::Tape), Either(&[&[Count(LAMPS)], &[Count(GROUPS)], &[Quantity(D::Length)]])],
        clauses: &[FED, DIMMED, IN, NOTE, ACCEPT],
        says: "A cut of tape: so many lamps, groups, or a length. It hands power on at its far end.",
        usual: "strip saloon-1 of warm 6 lamps from keel over 120 mm of fine",
    },
    StanzaShape {
        stanza: StanzaWord::Lamp,
        head: &[Name(Role::Defined), Word("of"), Name(Role::Led)],
        clauses: &[FED, OHMS_OF_LIGHT, RUNS, IN, NOTE, ACCEPT],
        says: "A single lamp, with its resistor.",
        usual: "lamp mast of pearl resistor 560 ohm from keel over 200 mm of fine",
    },
    StanzaShape {
        stanza: StanzaWord::String,
        head: &[Name(Role::Defined), Word("of"), Name(Role::Led), Count(LAMPS)],
        clauses: &[FED, OHMS_OF_LIGHT, RUNS, IN, NOTE, ACCEPT],
        says: "Lamps in series: one current through all, one failure darkens all.",
        usual: "string row of ruby 3 lamps resistor 330 ohm from keel over 80 mm of fine",
    },
    StanzaShape {
        stanza: StanzaWord::Board,
        head: &[Name(Role::Defined), Word("of"), Name(Role::Module)],
        clauses: &[FED, IN, NOTE, ACCEPT],
        says: "An effects board. Its outputs are points: `blink.a`.",
        usual: "board blink of flasher from keel",
    },
    StanzaShape {
        stanza: StanzaWord::Load,
        head: &[Name(Role::Defined)],
        clauses: &[
            FED,
            LOAD_DRAWS.instead("load").required(),
            TAKES.instead("load").required(),
            RESISTANCE.instead("load").required(),
            IN,
            NOTE,
            ACCEPT,
        ],
        says: "Anything else that takes current: a motor, a sound board.",
        usual: "load fan draws 25 mA from keel",
    },
    StanzaShape {
        stanza: StanzaWord::Link,
        head: &[Name(Role::Defined)],
        clauses: &[
            shape("between", &[Name(Role::Point), Word("and"), Name(Role::Point)], "The two points that it joins.", "between roof and keel")
                .required()
                .with(&[OVER, VIA]),
            NOTE,
            ACCEPT,
        ],
        says: "A second way round between two points, so that one break is survived.",
        usual: "link ring between roof and keel over 200 mm of fine",
    },
    StanzaShape {
        stanza: StanzaWord::Zone,
        head: &[Name(Role::Defined)],
        clauses: &[
            shape("inside", &[Quantity(D::Area)], "Its inner surface.", "inside 120 cm2"),
            shape("windows", &[Quantity(D::Area)], "The area of its windows.", "windows 8 cm2"),
            shape("finish", &[Choice(&["white", "silver", "bare", "black"])], "What its walls reflect: 85, 80, 40 or 5 %.", "finish white"),
            shape("material", &[Choice(&["styrene", "abs", "resin", "wood", "metal"])], "What it is made of.", "material styrene"),
            shape("sealed", &[], "It cannot be opened again.", "sealed"),
            shape("lifts", &[Word("off")], "It is a part that is taken off.", "lifts off"),
            shape("as", &[Word("bright"), Word("as"), Name(Role::Zone)], "Its windows are to look as bright as that zone's.", "as bright as lounge"),
            NOTE,
            ACCEPT,
        ],
        says: "A space in the model.",
        usual: "zone saloon inside 120 cm2 windows 8 cm2 finish white",
    },
    StanzaShape {
        stanza: StanzaWord::Passage,
        head: &[Name(Role::Defined)],
        clauses: &[
            shape("between", &[Name(Role::Zone), Word("and"), Name(Role::Zone)], "The two zones that it joins, either way.", "between saloon and bridge").required(),
            shape("bore", &[Quantity(D::Length)], "The diameter of the hole.", "bore 2.5 mm").instead("opening").required(),
            shape("slot", &[Quantity(D::Length), Word("by"), Quantity(D::Length)], "The width and height of the slot.", "slot 4 mm by 1.5 mm").instead("opening").required(),
            NOTE,
            ACCEPT,
        ],
        says: "A hole or slot between two zones that wire goes through.",
        usual: "passage stair between saloon and bridge bore 2.5 mm",
    },
    StanzaShape {
        stanza: StanzaWord::Scene,
        head: &[Name(Role::Defined)],
        clauses: &[
            shape("off", &[List(&[Name(Role::Item)])], "What is off; all else is on.", "off mast").instead("choice"),
            shape("only", &[List(&[Name(Role::Item)])], "The lights that are on; the other lights are off.", "only mast").instead("choice"),
            NOTE,
            ACCEPT,
        ],
        says: "A state of the model: what is on. Figures are worked out for each.",
        usual: "scene moored off mast",
    },
    StanzaShape {
        stanza: StanzaWord::Stage,
        head: &[Name(Role::Defined)],
        clauses: &[
            shape("fits", &[List(&[Name(Role::Item)])], "The pieces that are fitted in this stage.", "fits mast").required(),
            shape("seals", &[List(&[Name(Role::Zone)])], "The zones that are closed for good at its end.", "seals saloon"),
            shape("done", &[Date], "The day that it was finished.", "done 2026-03-14"),
            NOTE,
            ACCEPT,
        ],
        says: "A stage of the work, in the order in which the stages stand.",
        usual: "stage hull fits keel seals saloon",
    },
    StanzaShape {
        stanza: StanzaWord::Tried,
        head: &[Name(Role::Item), Quantity(D::Current), Word("at"), Quantity(D::Voltage)],
        clauses: &[shape("on", &[Date], "The day of the trial.", "on 2026-03-14"), NOTE, ACCEPT],
        says: "What a piece drew when it was tried alone.",
        usual: "tried mast 17.8 mA at 9 V on 2026-03-14",
    },
    StanzaShape {
        stanza: StanzaWord::Pattern,
        head: &[Name(Role::Defined)],
        clauses: &[
            shape("needs", &[List(&[Name(Role::NeedDefined)])], "The words that each copy puts a name of its own to.", "needs lens, bay"),
            NOTE,
            ACCEPT,
        ],
        says: "Wiring that is there more than once. The stanzas named `pattern.piece` are its pieces, fed from the pattern's own name.",
        usual: "pattern wing needs lens, bay",
    },
    StanzaShape {
        stanza: StanzaWord::Copy,
        head: &[Name(Role::Defined), Word("of"), Name(Role::Pattern)],
        clauses: &[
            FED,
            shape("where", &[List(&[Name(Role::Need), Name(Role::StandIn)])], "What each needed word stands for in this copy.", "where lens ruby, bay wing-port"),
            shape("but", &[Name(Role::Piece)], "Replaces clauses of one piece in this copy. All clauses that follow belong to the piece.", "but tip resistor 680 ohm")
                .repeats()
                .with(BUT_PARTS),
            IN,
            NOTE,
            ACCEPT,
        ],
        says: "A copy of a pattern: a joint with the usual feed, and the pieces under its own name.",
        usual: "copy port of wing from hub over 110 mm of fine where lens ruby, bay wing-port",
    },
];

/// The clauses that `but PIECE` can replace: those of all wiring stanzas. The piece's own stanza
/// decides which of them it can have.
const BUT_PARTS: &[ClauseShape] = &[
    FROM,
    OHMS_OF_LIGHT,
    RUNS,
    DIMMED,
    RATED,
    CONTACT,
    RESISTANCE,
    DROPS,
    EFFICIENCY,
    DROPOUT,
    LOAD_DRAWS,
    TAKES,
    QUICK,
    SLOW,
    RESETTABLE,
    IN,
];

/// The greatest count that is taken: more than any model has, and little enough to work with.
pub const MOST_OF_A_COUNT: u32 = 10_000;

/// Clauses whose two quantities go from the least to the greatest.
pub const IN_ORDER: &[&str] = &["works"];

/// What a quantity must keep to, whatever the rest of the plan says. SI units.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    /// The least; `above`: it must be above this.
    pub least: f64,
    /// Whether `least` itself is too little.
    pub above: bool,
    /// The greatest.
    pub most: f64,
    /// Whether it must be a whole number.
    pub whole: bool,
    /// The bounds in words, for a message: "a gauge is a whole number from 0 to 60 AWG".
    says: &'static str,
}

impl Bounds {
    /// What to say of a value that breaks the bounds; `what` it is, as "a length".
    pub fn broken_by(&self, value: f64, what: &str) -> Option<String> {
        let low = value < self.least || (self.above && value <= self.least);
        if !(low || value > self.most || (self.whole && value.fract() != 0.0)) {
            return None;
        }
        let mut what = what.chars();
        let what: String = what
            .next()
            .into_iter()
            .flat_map(char::to_uppercase)
            .chain(what)
            .collect();
        Some(match self.says {
            "" if value < self.least => format!("{what} cannot be negative."),
            "" => format!("{what} of zero makes no sense here."),
            says => says.to_owned(),
        })
    }
}

/// The bounds of a quantity in the head of a stanza, or in a clause (or part) of it.
pub fn bounds(stanza: StanzaWord, clause: Option<&str>, dimension: Dimension) -> Bounds {
    let from_zero = Bounds {
        least: 0.0,
        above: false,
        most: f64::INFINITY,
        whole: false,
        says: "",
    };
    match dimension {
        D::Gauge => Bounds {
            most: 60.0,
            whole: true,
            says: "A wire gauge is a whole number from 0 to 60 AWG.",
            ..from_zero
        },
        D::Percent if clause == Some("efficiency") => Bounds {
            above: true,
            most: 1.0,
            says: "An efficiency is above 0 % and at most 100 %.",
            ..from_zero
        },
        D::Percent => Bounds {
            most: 1.0,
            says: "A percentage here is from 0 % to 100 %.",
            ..from_zero
        },
        D::Temperature => Bounds {
            says: "That is colder than anything can be.",
            ..from_zero
        },
        D::Angle => Bounds {
            above: true,
            most: std::f64::consts::TAU,
            says: "An angle of light is above 0 deg and at most 360 deg.",
            ..from_zero
        },
        _ => Bounds {
            above: above_zero(stanza, clause, dimension),
            ..from_zero
        },
    }
}

/// Whether zero makes no sense here.
fn above_zero(stanza: StanzaWord, clause: Option<&str>, dimension: Dimension) -> bool {
    use StanzaWord as S;
    match (stanza, clause) {
        // Heads: a source's volts and limit, a fuse's rating, a regulator's, a cut of tape, the volts of a trial.
        (S::Supply | S::Fuse | S::Regulator | S::Strip, None) => true,
        (S::Tried, None) => dimension == D::Voltage,
        (S::Led | S::Tape, Some("drops")) => true,
        (S::Tape, Some("draws")) => true,
        (_, Some("draws" | "output")) => dimension == D::Voltage,
        (_, Some(clause)) => matches!(
            clause,
            "diameter"
                | "area"
                | "outer"
                | "carries"
                | "group"
                | "works"
                | "limit"
                | "runs"
                | "rated"
                | "capacity"
                | "lasts"
                | "bench"
                | "flash"
                | "inside"
                | "bore"
                | "slot"
        ),
        (_, None) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_stands_in_the_order_of_the_words() {
        assert_eq!(STANZAS.len(), StanzaWord::ALL.len());
        for (word, shape) in StanzaWord::ALL.iter().zip(STANZAS) {
            assert_eq!(*word, shape.stanza);
            assert_eq!(StanzaWord::from_word(word.word()), Some(*word));
        }
    }
}
