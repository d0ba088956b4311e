//! What is written in between the words, in a paler ink: figures that the plan does not say, at the place that they are
//! about. One file a kind, each with its own switch. A stanza in error has none, nor has anything that hangs on one.

mod cut;
mod dark;
mod figures;
mod resistor;
mod wire;

use std::collections::{BTreeSet, HashMap, HashSet};

use crate::checks::Analysis;
use crate::circuit::ItemFigures;
use crate::plan::{FileId, Item, ItemId, LinkId, Plan, StanzaId, Target, split_first};
use crate::syntax::tree::{Name, Stanza, TokenKind, names};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// A kind of hint. In this order they stand where several are at one place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HintKind {
    /// What a cut of tape comes to.
    Cut,
    /// The power in a resistor.
    Resistor,
    /// What to cut of a wire.
    Wire,
    /// Volts and amps of what draws.
    Lights,
    /// Volts and amps of what feeds.
    Feed,
    /// How many lights go dark with it.
    Dark,
}

impl HintKind {
    /// All of them.
    pub const ALL: [HintKind; 6] = [
        HintKind::Cut,
        HintKind::Resistor,
        HintKind::Wire,
        HintKind::Lights,
        HintKind::Feed,
        HintKind::Dark,
    ];

    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            HintKind::Lights => "lights",
            HintKind::Feed => "feed",
            HintKind::Dark => "dark",
            HintKind::Wire => "wire",
            HintKind::Cut => "cut",
            HintKind::Resistor => "resistor",
        }
    }

    /// What it shows.
    pub fn says(self) -> &'static str {
        match self {
            HintKind::Lights => {
                "Volts and amps behind each light and load, with everything on: `11.9 V 17.9 mA`."
            }
            HintKind::Feed => {
                "The same behind supplies, fuses, joints, boards and all else that feeds them."
            }
            HintKind::Dark => "How many lights go dark when an item breaks: `break: 3 dark`.",
            HintKind::Wire => "What to cut for a run, slack included: `cut 2 × 120 mm`.",
            HintKind::Cut => {
                "What a cut of tape comes to: the length behind lamps and groups, the lamps behind a length."
            }
            HintKind::Resistor => "The power in a resistor, with everything on: `187 mW`.",
        }
    }

    /// Whether it is shown where nobody has said anything: what is wanted at every look, and stands in nobody's way. What stands
    /// amid a line would push the columns of the wiring apart.
    pub fn at_first(self) -> bool {
        matches!(self, HintKind::Lights)
    }
}

/// Kinds that are to be shown.
pub type Kinds = BTreeSet<HintKind>;

/// A hint.
#[derive(Clone, Debug, PartialEq)]
pub struct Hint {
    /// The byte of the file that it stands at.
    pub at: u32,
    /// Its kind.
    pub kind: HintKind,
    /// The words.
    pub label: String,
}

/// A stanza that hints are about: what it became in the plan.
struct Subject<'a> {
    a: &'a Analysis,
    stanza: &'a Stanza,
    /// One; of a pattern's piece, that of each copy.
    items: &'a [ItemId],
    link: Option<LinkId>,
    /// Something that it feeds is left out of the figures.
    misses: bool,
}

impl<'a> Subject<'a> {
    fn plan(&self) -> &'a Plan {
        &self.a.plan
    }

    fn all(&self) -> impl Iterator<Item = &'a Item> + '_ {
        self.items.iter().map(|id| &self.plan().items[id.0])
    }

    /// The figures of each item with everything on; of what takes turns, in its turn.
    fn with_all_on(&self) -> impl Iterator<Item = &'a ItemFigures> + '_ {
        let solution = &self.a.solution;
        let own = self.items.iter().filter_map(|id| solution.with_all_on(*id));
        own.filter(|own| own.reached)
    }

    /// Behind the last word of the line that the stanza begins with.
    fn end_of_first_line(&self) -> u32 {
        let tokens = self.stanza.tokens.iter();
        let line = tokens
            .skip_while(|t| t.span.start < self.stanza.word_span.start)
            .take_while(|t| t.kind != TokenKind::LineEnd);
        line.last()
            .map_or(self.stanza.word_span.end, |t| t.span.end)
    }
}

/// Places in the stanza, and what is written there.
type Labels = Vec<(u32, String)>;

/// All that is alike; `None` where the copies of a piece differ.
fn alike<T: PartialEq>(mut all: impl Iterator<Item = T>) -> Option<T> {
    let first = all.next()?;
    all.all(|other| other == first).then_some(first)
}

/// Makes hints of one plan.
pub struct Hinting<'a> {
    a: &'a Analysis,
    items: HashMap<StanzaId, Vec<ItemId>>,
    links: HashMap<StanzaId, LinkId>,
    /// What feeds something that is left out, up to the supply.
    missing: HashSet<ItemId>,
    /// The patterns of which a copy is left out.
    patterns: HashSet<&'a Name>,
}

impl<'a> Hinting<'a> {
    /// Of a plan.
    pub fn of(a: &'a Analysis) -> Hinting<'a> {
        let mut items: HashMap<StanzaId, Vec<ItemId>> = HashMap::new();
        for (index, item) in a.plan.items.iter().enumerate() {
            items.entry(item.stanza).or_default().push(ItemId(index));
        }
        let links = a.plan.links.iter().enumerate();
        let links = links.map(|(index, link)| (link.stanza, LinkId(index)));
        Hinting {
            a,
            items,
            links: links.collect(),
            missing: missing(&a.plan),
            patterns: patterns(&a.plan),
        }
    }

    fn subject(&self, id: StanzaId) -> Option<Subject<'_>> {
        let items = self.items.get(&id).map_or(&[][..], Vec::as_slice);
        let link = self.links.get(&id).copied();
        let stanza = self.a.plan.stanza(id);
        let piece = stanza.name().map(|(name, _)| split_first(name).0);
        let is_whole = piece.is_none_or(|pattern| !self.patterns.contains(&pattern));
        ((!items.is_empty() || link.is_some()) && is_whole).then(|| Subject {
            a: self.a,
            stanza,
            items,
            link,
            misses: items.iter().any(|item| self.missing.contains(item)),
        })
    }

    /// The hints of a stanza, in order.
    pub fn hints(&self, id: StanzaId, kinds: &Kinds) -> Vec<Hint> {
        let Some(subject) = self.subject(id) else {
            return Vec::new();
        };
        let start = self.a.plan.in_file(id, Span::default()).start;
        let mut hints = Vec::new();
        for kind in kinds {
            let labels = match kind {
                HintKind::Lights => figures::of_lights(&subject),
                HintKind::Feed => figures::of_feed(&subject),
                HintKind::Dark => dark::labels(&subject),
                HintKind::Wire => wire::labels(&subject),
                HintKind::Cut => cut::labels(&subject),
                HintKind::Resistor => resistor::labels(&subject),
            };
            hints.extend(labels.into_iter().map(|(at, label)| Hint {
                at: start + at,
                kind: *kind,
                label,
            }));
        }
        hints.sort_by_key(|hint| hint.at);
        hints
    }
}

fn missing(plan: &Plan) -> HashSet<ItemId> {
    let lost = plan.references.iter();
    let lost = lost.filter(|r| plan.left_out.contains(&r.stanza));
    let mut open: Vec<ItemId> = lost
        .filter_map(|r| match plan.names.get(&r.name)?.target? {
            Target::Item(item) => Some(item),
            _ => None,
        })
        .collect();
    let mut missing = HashSet::new();
    while let Some(item) = open.pop() {
        if missing.insert(item)
            && let Some(feed) = &plan.items[item.0].feed
        {
            open.extend([feed.from.item, feed.minus().item]);
        }
    }
    missing
}

fn patterns(plan: &Plan) -> HashSet<&Name> {
    let lost = plan.left_out.iter().map(|id| plan.stanza(*id));
    let copies = lost.filter(|stanza| stanza.word == Some(StanzaWord::Copy));
    copies
        .filter_map(|stanza| names(&stanza.head).nth(1).map(|(name, _)| name))
        .collect()
}

/// The hints in a stretch of a file, in order.
pub fn hints(a: &Analysis, file: FileId, span: Span, kinds: &Kinds) -> Vec<Hint> {
    let Some(first) = a.plan.stanza_at(file, span.start) else {
        return Vec::new();
    };
    let stanzas = &a.plan.files[file.0].tree.stanzas;
    let here = (first.index..stanzas.len()).take_while(|index| stanzas[*index].start <= span.end);
    let hinting = Hinting::of(a);
    let hints = here.flat_map(|index| hinting.hints(StanzaId { file, index }, kinds));
    hints.filter(|hint| span.touches(hint.at)).collect()
}

/// What more there is to say of the hint of a kind in the stanza at a byte of a file.
pub fn about(a: &Analysis, file: FileId, at: u32, kind: HintKind) -> Option<String> {
    let id = a.plan.stanza_at(file, at)?;
    let start = a.plan.in_file(id, Span::default()).start;
    let hinting = Hinting::of(a);
    let subject = hinting.subject(id)?;
    match kind {
        HintKind::Lights | HintKind::Feed | HintKind::Dark => {
            let (_, name) = subject.stanza.name()?;
            let name = a.plan.in_file(id, name);
            super::hover::hover(a, file, name.start as usize).map(|hover| hover.markdown)
        }
        HintKind::Wire => wire::about(&subject, at - start),
        HintKind::Cut => cut::about(&subject),
        HintKind::Resistor => resistor::about(&subject),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    fn analysed(text: &str) -> Analysis {
        Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false)
    }

    /// The text with its hints in it, `‹…›`.
    fn shown(text: &str, kinds: &[HintKind]) -> String {
        let a = analysed(text);
        let kinds = kinds.iter().copied().collect();
        let whole = Span::between(0, text.len());
        let mut shown = text.to_owned();
        for hint in hints(&a, FileId(0), whole, &kinds).iter().rev() {
            shown.insert_str(hint.at as usize, &format!("‹{}›", hint.label));
        }
        shown
    }

    /// Whether the lines of a text that have a hint are these.
    fn lines(text: &str, kinds: &[HintKind], expected: &[&str]) {
        let shown = shown(text, kinds);
        let with: Vec<&str> = shown.lines().filter(|l| l.contains('‹')).collect();
        assert_eq!(with, expected, "{text}");
    }

    /// 12 V over 600 ohm and a lamp of 3 V at 20 mA, 2.8 V at 5 mA: some 15 mA. Each copy has its own resistor.
    const PLAN: &str = "\
harness \"x\" slack 10 mm
wire w gauge 32 AWG
tape warm group 3 lamps long 50 mm works 7 V to 12.6 V draws 18 mA at 12 V
led p drops 3 V at 15 mA
supply s 12 V 1 A resistance 0 ohm
joint hub from s over 100 mm of w # the hub
lamp a of p resistor 600 ohm 1/4 W from hub
  return to s over 30 mm of w
lamp b of p resistor 1k2 from s over 90 mm of w return to hub
strip c of warm 6 lamps from s
strip d of warm 2 groups from s
strip e of warm 100 mm from s
load fan draws 40 mA from s
link ring between hub and s over 50 mm of w
pattern cottage
lamp cottage.x of p resistor 600 ohm from cottage over 20 mm of w
copy one of cottage from s
copy two of cottage from hub but x resistor 900 ohm
";

    #[test]
    fn volts_and_amps_of_lights() {
        lines(
            PLAN,
            &[HintKind::Lights],
            &[
                "lamp a of p resistor 600 ohm 1/4 W from hub‹12 V 15 mA›",
                "lamp b of p resistor 1k2 from s over 90 mm of w return to hub‹12 V 7.61 mA›",
                "strip c of warm 6 lamps from s‹12 V 36 mA›",
                "strip d of warm 2 groups from s‹12 V 36 mA›",
                "strip e of warm 100 mm from s‹12 V 36 mA›",
                "load fan draws 40 mA from s‹12 V 40 mA›",
                "lamp cottage.x of p resistor 600 ohm from cottage over 20 mm of w‹12 V 10.1–15 mA›",
            ],
        );
    }

    #[test]
    fn volts_and_amps_of_the_feed() {
        lines(
            PLAN,
            &[HintKind::Feed],
            &[
                "supply s 12 V 1 A resistance 0 ohm‹12 V 196 mA›",
                "joint hub from s over 100 mm of w # the hub‹12 V 8.36 mA›",
                "copy one of cottage from s‹12 V 15 mA›",
                "copy two of cottage from hub but x resistor 900 ohm‹12 V 10.1 mA›",
            ],
        );
    }

    #[test]
    fn what_goes_dark() {
        lines(
            "supply s 12 V\nled p drops 3 V at 15 mA\nfuse F from s 1 A\nfuse G 1 A from s\njoint j from G\nlamp a of p resistor 1k from j\nlamp b of p resistor 1k from j\n",
            &[HintKind::Dark],
            &[
                "fuse G 1 A from s‹break: 2 dark›",
                "joint j from G‹break: 2 dark›",
            ],
        );
        lines(
            "supply s 12 V\ntape t group 3 lamps long 50 mm works 7 V to 13 V draws 18 mA at 12 V\nstrip a of t 3 lamps from s\nstrip b of t 3 lamps from a\n",
            &[HintKind::Dark],
            &["strip a of t 3 lamps from s‹break: 2 dark›"],
        );
    }

    #[test]
    fn what_to_cut_of_wire() {
        lines(
            PLAN,
            &[HintKind::Wire],
            &[
                "joint hub from s over 100 mm of w‹cut 2 × 120 mm› # the hub",
                "  return to s over 30 mm of w‹cut 50 mm›",
                "lamp b of p resistor 1k2 from s over 90 mm of w‹cut 2 × 110 mm› return to hub",
                "link ring between hub and s over 50 mm of w‹cut 2 × 70 mm›",
                "lamp cottage.x of p resistor 600 ohm from cottage over 20 mm of w‹cut 4 × 40 mm›",
            ],
        );
    }

    #[test]
    fn what_a_cut_of_tape_comes_to() {
        lines(
            PLAN,
            &[HintKind::Cut],
            &[
                "strip c of warm 6 lamps‹100 mm› from s",
                "strip d of warm 2 groups‹100 mm› from s",
                "strip e of warm 100 mm‹6 lamps› from s",
            ],
        );
        let uneven = PLAN
            .replace("6 lamps", "5 lamps")
            .replace("warm 100 mm", "warm 90 mm");
        lines(
            &uneven,
            &[HintKind::Cut],
            &["strip d of warm 2 groups‹100 mm› from s"],
        );
    }

    /// 15 mA through 600 ohm: 135 mW (P = I² R).
    #[test]
    fn the_power_in_resistors() {
        lines(
            &format!("{PLAN}resistor r 100 ohm 1/4 W from s\nload bell draws 20 mA from r\n"),
            &[HintKind::Resistor],
            &[
                "lamp a of p resistor 600 ohm 1/4 W‹135 mW› from hub",
                "lamp b of p resistor 1k2‹69.5 mW› from s over 90 mm of w return to hub",
                "lamp cottage.x of p resistor 600 ohm‹91.7–135 mW› from cottage over 20 mm of w",
                "resistor r 100 ohm 1/4 W‹40 mW› from s",
            ],
        );
    }

    #[test]
    fn what_is_in_error_and_what_hangs_on_it_has_none() {
        let broken = PLAN.replace("joint hub from s", "joint hub from");
        lines(
            &broken,
            &HintKind::ALL,
            &[
                "strip c of warm 6 lamps‹100 mm› from s‹12 V 36 mA›",
                "strip d of warm 2 groups‹100 mm› from s‹12 V 36 mA›",
                "strip e of warm 100 mm‹6 lamps› from s‹12 V 36 mA›",
                "load fan draws 40 mA from s‹12 V 40 mA›",
                "copy one of cottage from s‹12 V 15 mA›‹break: 1 dark›",
            ],
        );
    }

    #[test]
    fn in_a_stretch_only_its_own() {
        let a = analysed(PLAN);
        let kinds: Kinds = HintKind::ALL.into_iter().collect();
        let all = hints(&a, FileId(0), Span::between(0, PLAN.len()), &kinds);
        for (from, to) in [(0, 0), (300, 500), (410, 411), (500, 9999)] {
            let span = Span::new(from, to);
            let some: Vec<_> = all.iter().filter(|h| span.touches(h.at)).cloned().collect();
            assert_eq!(hints(&a, FileId(0), span, &kinds), some);
        }
    }

    #[test]
    fn there_is_more_to_say() {
        let a = analysed(PLAN);
        let of = |words: &str, kind| {
            let at = PLAN.find(words).unwrap() + words.len();
            about(&a, FileId(0), at as u32, kind).unwrap_or_default()
        };
        let figures = of("from hub", HintKind::Lights);
        assert!(figures.starts_with("**lamp a**"), "{figures}");
        assert_eq!(
            of("over 100 mm of w", HintKind::Wire),
            "Each leg 100 mm, and 10 mm of slack at either end."
        );
        assert_eq!(
            of("6 lamps", HintKind::Cut),
            "6 lamps of warm: 2 groups, 100 mm, 36 mA at 12 V."
        );
        assert_eq!(
            of("1/4 W", HintKind::Resistor),
            "135 mW with everything on, in a resistor for 250 mW."
        );
        assert_eq!(of("1k2", HintKind::Resistor), "69.5 mW with everything on.");
    }

    #[test]
    fn few_are_shown_at_first() {
        let at_first = HintKind::ALL.into_iter().filter(|kind| kind.at_first());
        assert_eq!(at_first.collect::<Vec<_>>(), [HintKind::Lights]);
    }
}
