//! Leads a run from one zone to another by the fewest of the declared passages.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use petgraph::algo::astar;
use petgraph::graph::{NodeIndex, UnGraph};

use super::Candidate;
use super::stanza_text::{StanzaEdits, has_comment, removal};
use crate::plan::{Opening, PassageId, Plan, StanzaId, ZoneId};
use crate::syntax::tree::Clause;

/// Which run of a stanza.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunOf {
    /// That of the `from` clause.
    Plus,
    /// That of the `return to` part.
    Minus,
    /// That of a link.
    Link,
}

impl RunOf {
    /// The clause that the run is written in: its point, its `over` and its `via`.
    pub fn clause(self, plan: &Plan, stanza: StanzaId) -> Option<&Clause> {
        let stanza = plan.stanza(stanza);
        match self {
            RunOf::Plus => stanza.clause("from"),
            RunOf::Minus => stanza.clause("from")?.part("return"),
            RunOf::Link => stanza.clause("between"),
        }
    }
}

/// The passages from one zone to another, as few as do; of several between the same two zones the widest. Empty within
/// a zone; `None` where no passages lead there.
pub fn shortest_way(plan: &Plan, from: ZoneId, to: ZoneId) -> Option<Vec<PassageId>> {
    let mut graph: UnGraph<(), ()> = UnGraph::default();
    for _ in &plan.zones {
        graph.add_node(());
    }
    // The widest of several passages between two zones, of equals the first.
    let mut widest: HashMap<[ZoneId; 2], PassageId> = HashMap::new();
    for (nth, passage) in plan.passages.iter().enumerate() {
        let Some((a, b)) = passage.ends else { continue };
        match widest.entry([a.min(b), a.max(b)]) {
            Entry::Vacant(first) => {
                first.insert(PassageId(nth));
                graph.add_edge(NodeIndex::new(a.0), NodeIndex::new(b.0), ());
            }
            Entry::Occupied(mut best) if area(plan, PassageId(nth)) > area(plan, *best.get()) => {
                best.insert(PassageId(nth));
            }
            Entry::Occupied(_) => {}
        }
    }
    let goal = NodeIndex::new(to.0);
    let (_, zones) = astar(&graph, NodeIndex::new(from.0), |z| z == goal, |_| 1, |_| 0)?;
    let between = |pair: &[NodeIndex]| {
        let [a, b] = [ZoneId(pair[0].index()), ZoneId(pair[1].index())];
        widest.get(&[a.min(b), a.max(b)]).copied()
    };
    zones.windows(2).map(between).collect()
}

/// How much of an opening a passage is, in square metres; nothing where it is not stated.
fn area(plan: &Plan, passage: PassageId) -> f64 {
    match plan.passages[passage.0].opening {
        Some(Opening::Bore(d)) => std::f64::consts::FRAC_PI_4 * d.value * d.value,
        Some(Opening::Slot(w, h)) => w.value * h.value,
        None => 0.0,
    }
}

/// The names of passages, as a `via` lists them.
pub fn written(plan: &Plan, way: &[PassageId]) -> String {
    let names: Vec<&str> = way.iter().map(|p| &*plan.passages[p.0].name.0).collect();
    names.join(", ")
}

/// Writes the shortest way between two zones into a run, in place of the `via` that it has. None where no passages lead
/// there, or a comment would be lost.
pub fn take_shortest_way(
    plan: &Plan,
    stanza: StanzaId,
    run: RunOf,
    from: ZoneId,
    to: ZoneId,
) -> Option<Candidate> {
    let way = shortest_way(plan, from, to)?;
    let clause = run.clause(plan, stanza)?;
    let names = written(plan, &way);
    let mut edits = StanzaEdits::of(stanza);
    let tree = plan.stanza(stanza);
    match clause.part("via") {
        Some(via) if has_comment(tree, via.span) => return None,
        Some(via) if way.is_empty() => edits.put(removal(tree, via.span), ""),
        Some(via) => {
            let mut spans = via.names().map(|(_, span)| span);
            let first = spans.next()?;
            let list = spans.last().map_or(first, |last| first.to(last));
            edits.put(list, &names);
        }
        None if way.is_empty() => return None,
        None => edits.insert(clause.part("over")?.span.end, &format!(" via {names}")),
    }
    let (from, to) = (&plan.zones[from.0].name.0, &plan.zones[to.0].name.0);
    let title = match way.len() {
        0 => format!("no via: it stays in {from}"),
        1 => format!("via {names}: 1 passage from {from} to {to}"),
        n => format!("via {names}: {n} passages from {from} to {to}"),
    };
    Some(Candidate {
        title,
        edits: edits.into_edits(plan),
        told: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey, Target};
    use std::sync::Arc;

    fn plan(text: &str) -> Plan {
        Plan::of(FileKey::new("t"), Arc::from(text), &Alone)
    }

    const PLACES: &str = "zone a\nzone b\nzone c\nzone d\nzone e\n\
        passage ab between a and b bore 2 mm\npassage bc between c and b bore 2 mm\npassage cd between c and d bore 2 mm\n\
        passage ad between d and a bore 1 mm\npassage bc-wide between b and c slot 3 mm by 2 mm\n";

    fn way(from: &str, to: &str) -> Option<String> {
        let plan = plan(PLACES);
        let zone = |name: &str| {
            let found = plan.names.iter().find(|(n, _)| &*n.0 == name);
            match found.and_then(|(_, d)| d.target) {
                Some(Target::Zone(zone)) => zone,
                other => panic!("{name}: {other:?}"),
            }
        };
        shortest_way(&plan, zone(from), zone(to)).map(|way| written(&plan, &way))
    }

    #[test]
    fn the_way_with_the_fewest_passages_is_found() {
        assert_eq!(way("a", "a").as_deref(), Some(""));
        assert_eq!(way("a", "b").as_deref(), Some("ab"));
        assert_eq!(way("a", "d").as_deref(), Some("ad"));
        assert_eq!(way("a", "c").map(|w| w.split(", ").count()), Some(2));
        assert_eq!(way("b", "c").as_deref(), Some("bc-wide"));
        assert_eq!(way("a", "e"), None);
    }
}
