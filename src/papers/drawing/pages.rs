//! The whole drawing: its head, its sheets one below the other, its legend.

use std::collections::{BTreeMap, HashMap};

use super::areas::{Area, areas};
use super::cells::{Cell, cell, widths};
use super::grid::{Drawn, MARGIN};
use super::lanes::{Known, Lanes, Owner};
use super::legend::{Occurs, legend};
use super::letters;
use super::picture::{Group, Ink, Legs, SIGN, Shape, Style};
use super::pieces::{self, Scope};
use super::placing::Places;
use super::sheet::{self, About, Sheet, ZONE_NAME};
use super::svg;
use super::tree::{NodeId, Tree, What};
use super::words::Said;
use super::{
    Drawing, DrawnItem, NotThere, Told, Wanted, finding_line, scene_words, scenes, supplies, zones,
};
use crate::checks::Analysis;
use crate::circuit::{ALL_ON, SceneFigures};
use crate::numbers::count;
use crate::plan::looks::{Of, Rgb, rgb};
use crate::plan::{ItemId, LinkId, Part, Plan, Point, Severity, StanzaId, ZoneId};

/// The least that a drawing is wide: its head and legend need room.
const LEAST: f64 = 760.0;

/// Ahead of all ids of a drawing within a page.
const WITHIN: &str = "drawn-";

/// Between sheets.
const GAP: f64 = 26.0;

/// So many findings that are about no item are told of in full.
const MOST_OTHERS: usize = 20;

/// A plan as a picture: what there is to draw, before it is written.
pub struct Picture {
    /// Its title.
    pub title: String,
    /// What stands below the title.
    pub lines: Vec<String>,
    /// How wide it is.
    pub width: f64,
    /// How high it is.
    pub height: f64,
    /// Its head, its sheets, its legend; each with the name that it is found by.
    pub parts: Vec<(String, Vec<Shape>)>,
    /// What is in it.
    pub items: Vec<DrawnItem>,
    /// How many sheets the whole has.
    pub sheets: usize,
}

/// Draws a plan.
pub fn draw(a: &Analysis, wanted: &Wanted) -> Result<Drawing, NotThere> {
    let picture = picture(a, wanted)?;
    let svg = svg::write(&svg::Page {
        title: &letters::shown(&picture.title),
        description: &picture.lines.join(". "),
        width: picture.width,
        height: picture.height,
        theme: wanted.theme,
        parts: &picture.parts,
    });
    Ok(Drawing {
        svg,
        items: picture.items,
        sheets: picture.sheets,
        size: (picture.width, picture.height),
    })
}

/// The same, before it is written.
pub fn picture(a: &Analysis, wanted: &Wanted) -> Result<Picture, NotThere> {
    let scene = scene(a, wanted)?;
    let whole = Whole::of(a, wanted, scene)?;
    let count = whole.sheets.len();
    let chosen = match wanted.sheet {
        None => 0..count,
        Some(nth) if (1..=count).contains(&nth) => nth - 1..nth,
        Some(nth) => {
            return Err(NotThere {
                what: "sheet",
                name: nth.to_string(),
                known: (1..=count).map(|n| n.to_string()).collect(),
            });
        }
    };
    Ok(whole.put_together(wanted, chosen))
}

fn scene<'a>(a: &'a Analysis, wanted: &Wanted) -> Result<Option<&'a SceneFigures>, NotThere> {
    let name = wanted.scene.unwrap_or(ALL_ON);
    let found = a
        .solution
        .scenes
        .iter()
        .find(|scene| &*scene.name.0 == name);
    match (found, wanted.scene) {
        (None, Some(name)) => Err(NotThere {
            what: "scene",
            name: name.to_owned(),
            known: scenes(a),
        }),
        (found, _) => Ok(found),
    }
}

fn scope(a: &Analysis, wanted: &Wanted) -> Result<Scope, NotThere> {
    let plan = &a.plan;
    let zone = |name: &str| {
        let found = plan.zones.iter().position(|zone| &*zone.name.0 == name);
        found.map(ZoneId).ok_or_else(|| NotThere {
            what: "zone",
            name: name.to_owned(),
            known: zones(a),
        })
    };
    let supply = |name: &str| {
        let is_it = |&nth: &usize| matches!(plan.items[nth].part, Part::Supply(_));
        let found = plan.item(name).map(|item| item.0).filter(is_it);
        found.ok_or_else(|| NotThere {
            what: "supply",
            name: name.to_owned(),
            known: supplies(a),
        })
    };
    Ok(Scope {
        root: wanted.supply.map(supply).transpose()?,
        zone: wanted.zone.map(zone).transpose()?,
    })
}

/// A plan, laid out.
struct Whole<'a> {
    a: &'a Analysis,
    scene: Option<&'a SceneFigures>,
    said: Said<'a>,
    told: Told,
    tree: Tree,
    places: Places,
    /// The heads of the pieces, by their numbers.
    heads: Vec<NodeId>,
    /// The pieces of each sheet.
    sheets: Vec<Vec<usize>>,
    cells: BTreeMap<NodeId, Cell>,
    lanes: Lanes,
    /// It stands within a page that has the usual ids itself.
    is_within: bool,
}

impl<'a> Whole<'a> {
    fn of(
        a: &'a Analysis,
        wanted: &Wanted,
        scene: Option<&'a SceneFigures>,
    ) -> Result<Whole<'a>, NotThere> {
        let plan = &a.plan;
        let scope = scope(a, wanted)?;
        let mut tree = Tree::of(plan);
        let said = Said::of(plan, scene);
        let widths = widths(&said, &tree);
        let (pieces, order) = pieces::cut(&mut tree, scope, &widths);
        let sheets = pieces::sheets(&pieces, &order);
        let mut places = Places::of(&tree);
        for (number, sheet) in sheets.iter().enumerate() {
            let mut row = 0;
            for &piece in sheet {
                row = places.piece(&mut tree, (number, piece), pieces[piece].head, row);
            }
        }
        let mut whole = Whole {
            a,
            scene,
            said,
            told: Told::of(a),
            tree,
            places,
            heads: pieces.iter().map(|piece| piece.head).collect(),
            sheets,
            cells: BTreeMap::new(),
            lanes: Lanes::default(),
            is_within: wanted.within_a_page,
        };
        whole.lanes = Lanes::of(&Known {
            said: whole.said,
            tree: &whole.tree,
            places: &whole.places,
            elsewhere: &|point| whole.elsewhere(point),
        });
        whole.cells = whole.cells();
        Ok(whole)
    }

    fn plan(&self) -> &'a Plan {
        &self.a.plan
    }

    /// By which something is found in the drawing.
    fn id(&self, kind: &str, name: &str) -> String {
        let within = if self.is_within { WITHIN } else { "" };
        format!("{within}{kind}-{name}")
    }

    /// The nodes of a piece.
    fn nodes(&self, piece: usize) -> Vec<NodeId> {
        self.tree.below(self.heads[piece])
    }

    fn cells(&self) -> BTreeMap<NodeId, Cell> {
        let drawn = self
            .sheets
            .iter()
            .flatten()
            .flat_map(|&piece| self.nodes(piece));
        let tag = |node| self.tag(node);
        let cell = |node: NodeId| {
            let mut cell = cell(&self.said, &self.tree, node, &tag);
            cell.stubs = self.lanes.at(node);
            if let What::Item(id) = self.tree.nodes[node].what {
                cell.sign = self.worst(&self.told.items[id.0]);
            }
            (node, cell)
        };
        drawn.map(cell).collect()
    }

    fn worst(&self, findings: &[usize]) -> Option<Severity> {
        findings
            .iter()
            .map(|&nth| self.a.findings[nth].severity)
            .max()
    }

    fn zone_name(&self, zone: ZoneId) -> String {
        self.plan().zones[zone.0].name.0.to_string()
    }

    /// The sheet that a node is on, as it is counted.
    fn sheet_of(&self, node: NodeId) -> Option<usize> {
        self.places.at(node).map(|place| place.sheet + 1)
    }

    /// A point that is not on the same sheet.
    fn elsewhere(&self, point: Point) -> String {
        let name = letters::name(&self.plan().point_name(point), 16.0);
        match self.tree.at(point).and_then(|node| self.sheet_of(node)) {
            Some(sheet) => format!("{name}, sheet {sheet}"),
            None => name,
        }
    }

    /// The words of a tag.
    fn tag(&self, node: NodeId) -> String {
        match self.tree.nodes[node].what {
            What::From(feeder) => {
                let (item, output) = match self.tree.nodes[feeder].what {
                    What::Item(item) => (item, None),
                    What::Output(item, nth) => (item, Some(nth)),
                    What::Onward(_) | What::From(_) => return String::new(),
                };
                let own = self.places.at(node).map(|place| place.sheet);
                let there = self.places.at(feeder).map(|place| place.sheet);
                let point = Point { item, output };
                let name = letters::name(&self.plan().point_name(point), 16.0);
                let zone = self.plan().items[item.0]
                    .zone
                    .map(|zone| format!(" in {}", letters::name(&self.zone_name(zone), 12.0)));
                match there {
                    Some(there) if Some(there) != own => {
                        format!("from {name}, sheet {}", there + 1)
                    }
                    Some(_) => format!("from {name}, above"),
                    None => format!("from {name}{}", zone.unwrap_or_default()),
                }
            }
            What::Onward(piece) => {
                let head = self.heads[piece];
                let all = self.tree.below(head);
                let items = all
                    .iter()
                    .filter(|&&n| matches!(self.tree.nodes[n].what, What::Item(_)));
                let many = count(items.count(), "item");
                let zone = self.tree.nodes[head].zone;
                let zone = zone.filter(|_| zone != self.tree.nodes[node].zone);
                let first = self.tree.nodes[head].children.first();
                let first = first.map(|&first| self.tree.nodes[first].what);
                let name = match (zone, first) {
                    (Some(zone), _) => self.zone_name(zone),
                    (None, Some(What::Item(id))) => {
                        format!("{} …", self.plan().items[id.0].name.0)
                    }
                    _ => String::new(),
                };
                let name = letters::name(&name, 14.0);
                let own = self.places.at(node).map(|place| place.sheet);
                match self.places.at(head).map(|place| place.sheet) {
                    Some(there) if Some(there) != own => {
                        format!("{name}: {many}, sheet {}", there + 1)
                    }
                    Some(_) => format!("{name}: {many}, below"),
                    None => format!("{name}: {many}"),
                }
            }
            _ => String::new(),
        }
    }

    /// Where a tag leads.
    fn tag_leads_to(&self, node: NodeId) -> Option<String> {
        let leads_to = match self.tree.nodes[node].what {
            What::From(feeder) => match self.tree.nodes[feeder].what {
                What::Item(id) | What::Output(id, _) => Some(id),
                _ => None,
            },
            What::Onward(piece) => {
                let head = self.heads[piece];
                let first = self.tree.nodes[head].children.first()?;
                match self.tree.nodes[*first].what {
                    What::Item(id) => Some(id),
                    _ => None,
                }
            }
            _ => None,
        }?;
        self.places.at(leads_to.0)?;
        Some(self.id("item", &self.plan().items[leads_to.0].name.0))
    }

    /// An item's group, without shapes.
    fn item_group(&self, id: ItemId) -> Group {
        let item = &self.plan().items[id.0];
        let place = item.zone.map(|zone| format!("in {}", self.zone_name(zone)));
        let facts = self.said.item(id).into_iter().chain(place);
        let mut title = format!("{} {}", item.kind(), item.name.0);
        for fact in facts {
            title += &format!(", {fact}");
        }
        Group {
            id: self.id("item", &item.name.0),
            name: item.name.0.to_string(),
            title: self.with_findings(title, &self.told.items[id.0]),
            leads_to: (self.is_within).then(|| format!("item-{}", item.name.0)),
            shapes: Vec::new(),
        }
    }

    fn link_group(&self, id: LinkId) -> Group {
        let link = &self.plan().links[id.0];
        let ends = [link.ends.0, link.ends.1].map(|end| self.plan().point_name(end));
        let title = format!("link {} between {} and {}", link.name.0, ends[0], ends[1]);
        Group {
            id: self.id("link", &link.name.0),
            name: link.name.0.to_string(),
            title: self.with_findings(title, &self.told.links[id.0]),
            leads_to: None,
            shapes: Vec::new(),
        }
    }

    fn with_findings(&self, mut title: String, findings: &[usize]) -> String {
        for &nth in findings {
            let finding = &self.a.findings[nth];
            let severity = crate::checks::severity_word(finding.severity);
            title += &format!("\n{severity}: {}", finding.message);
        }
        title
    }

    /// The colour of a light, where it is lit.
    fn lit(&self, node: NodeId) -> Option<Rgb> {
        let What::Item(id) = self.tree.nodes[node].what else {
            return None;
        };
        let colour = match &self.plan().items[id.0].part {
            Part::Strip { tape, .. } => self.plan().tapes[tape.0].colour,
            Part::Lamps { led, .. } => self.plan().leds[led.0].colour,
            _ => None,
        };
        let is_lit = self.said.is_lit(id);
        is_lit
            .then(|| rgb(Of::Light, colour.unwrap_or("white")))
            .flatten()
    }

    /// Draws a sheet.
    fn sheet(&self, number: usize) -> (Sheet, Vec<Area>) {
        let pieces = &self.sheets[number];
        let nodes: Vec<NodeId> = pieces.iter().flat_map(|&piece| self.nodes(piece)).collect();
        let mut areas: Vec<Area> = pieces
            .iter()
            .flat_map(|&piece| areas(&self.tree, &self.places, self.heads[piece]))
            .collect();
        areas.sort_by_key(|area| area.members.first().copied());
        let mut cells: BTreeMap<NodeId, Cell> = nodes
            .iter()
            .filter_map(|&node| Some((node, self.cells.get(&node)?.clone())))
            .collect();
        for area in &areas {
            let name = letters::shortened(&self.zone_name(area.zone), ZONE_NAME);
            let first = area.members.first().and_then(|first| cells.get_mut(first));
            if let Some(first) = first {
                first.at_least = Style::Zone.width(&name) + 8.0;
            }
        }
        let lanes = self.lanes.lanes.iter().enumerate();
        let own_lanes: Vec<usize> = lanes
            .filter(|(_, lane)| {
                self.places
                    .at(lane.node)
                    .is_some_and(|place| place.sheet == number)
            })
            .map(|(nth, _)| nth)
            .collect();
        let drawn = Drawn {
            tree: &self.tree,
            places: &self.places,
            nodes: &nodes,
            cells: &cells,
            lanes: &self.lanes,
            own_lanes: &own_lanes,
            areas: &areas,
        };
        let about = About {
            item: &|node| match self.tree.nodes[node].what {
                What::Item(id) => Some(self.item_group(id)),
                _ => None,
            },
            link: &|id| self.link_group(id),
            link_sign: &|id| self.worst(&self.told.links[id.0]),
            tag: &|node| self.tag_leads_to(node),
            lit: &|node| self.lit(node),
            zone: &|zone| self.zone_name(zone),
        };
        (sheet::draw(&drawn, &about), areas)
    }

    /// What a sheet is about: its supplies and zones.
    fn sheet_words(&self, number: usize, of: usize) -> String {
        let mut names: Vec<String> = Vec::new();
        for &piece in &self.sheets[number] {
            let head = self.heads[piece];
            let node = &self.tree.nodes[head];
            let name = match (node.zone, node.what) {
                (Some(zone), _) => self.zone_name(zone),
                (None, What::Item(id)) => self.plan().items[id.0].name.0.to_string(),
                _ => continue,
            };
            let name = letters::name(&name, 20.0);
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let head = format!("Sheet {} of {of}", number + 1);
        match names.is_empty() {
            true => head,
            false => format!("{head}: {}", crate::checks::words::list(&names)),
        }
    }

    fn occurs(&self, sheets: std::ops::Range<usize>, areas: &[Area]) -> Occurs {
        let mut occurs = Occurs {
            zones: areas.first().map(|area| area.zone.0),
            ..Occurs::default()
        };
        let is_here = |node: NodeId| {
            let place = self.places.at(node);
            place.is_some_and(|place| sheets.contains(&place.sheet))
        };
        for (&node, cell) in self.cells.iter().filter(|(node, _)| is_here(**node)) {
            occurs.symbols.extend(cell.symbol);
            occurs.tags |= cell.symbol.is_none();
            occurs.signs.extend(cell.sign);
            occurs.dots |= self.tree.nodes[node].children.len() > 1;
            occurs.lit |= self.lit(node).is_some();
            let plain = Legs::Both(Ink::Plus, Ink::Minus);
            if let Some(run) = &cell.run {
                occurs.at_start |= run.at_start;
                occurs.bare |= run.legs == plain;
            }
            if let What::Item(id) = self.tree.nodes[node].what
                && let Some(feed) = &self.plan().items[id.0].feed
            {
                let runs = feed.run.iter().chain(&feed.back_run);
                occurs.wires.extend(runs.map(|run| run.wire.0));
            }
        }
        for lane in self.lanes.lanes.iter().filter(|lane| is_here(lane.node)) {
            match lane.owner {
                Owner::Return(_) => occurs.returns = true,
                Owner::Link(id, _) => {
                    occurs.links = true;
                    let run = self.plan().links[id.0].run.iter();
                    occurs.wires.extend(run.map(|run| run.wire.0));
                    occurs.signs.extend(self.worst(&self.told.links[id.0]));
                }
                Owner::Target => {}
            }
        }
        let others = self.told.others.iter().take(MOST_OTHERS);
        occurs
            .signs
            .extend(others.map(|&nth| self.a.findings[nth].severity));
        occurs
    }

    /// What a builder wants to know first.
    fn head(&self, wanted: &Wanted) -> (String, Vec<String>) {
        let plan = self.plan();
        let title = plan.settings.title.as_deref().unwrap_or(wanted.name);
        let title = if title.is_empty() {
            "Lighting plan"
        } else {
            title
        };
        let mut lines = vec![match self.scene {
            Some(scene) => scene_words(&scene.name.0),
            None => "No figures".to_owned(),
        }];
        if let Some(Err(none)) = self.scene.map(|scene| scene.outcome.as_ref()) {
            let item = &plan.items[none.item.0].name.0;
            let item = letters::name(item, 24.0);
            lines[0] += &format!(": no figures, since {item} cannot have what it wants");
        }
        let only = [("zone", wanted.zone), ("supply", wanted.supply)];
        for (what, name) in only {
            if let Some(name) = name {
                let name = letters::name(name, 24.0);
                lines[0] += &format!("; {what} {name} alone");
            }
        }
        let is_drawn = |nth: &usize| self.places.at(*nth).is_some();
        let drawn = (0..plan.items.len()).filter(is_drawn).count();
        let mut second = count(drawn, "item");
        for (severity, one) in [
            (Severity::Error, "error"),
            (Severity::Warning, "warning"),
            (Severity::Hint, "hint"),
        ] {
            let found = self
                .a
                .findings
                .iter()
                .filter(|f| f.severity == severity)
                .count();
            if found > 0 {
                second += &format!(", {}", count(found, one));
            }
        }
        let left_out = plan.left_out.len();
        if left_out > 0 {
            let are = if left_out == 1 { "is" } else { "are" };
            second += &format!(
                "; {} in error, or fed by one, {are} left out",
                count(left_out, "stanza")
            );
        }
        lines.push(second);
        (title.to_owned(), lines)
    }

    fn put_together(&self, wanted: &Wanted, chosen: std::ops::Range<usize>) -> Picture {
        let of = self.sheets.len();
        let mut drawn = Vec::new();
        let mut areas = Vec::new();
        for number in chosen.clone() {
            let (sheet, of_sheet) = self.sheet(number);
            drawn.push((number, sheet));
            areas.extend(of_sheet);
        }
        let widest = drawn
            .iter()
            .map(|(_, sheet)| sheet.width)
            .fold(LEAST, f64::max);
        let (title, lines) = self.head(wanted);
        let mut parts: Vec<(String, Vec<Shape>)> = Vec::new();
        let mut y = MARGIN + 18.0;
        let most = (widest - 2.0 * MARGIN) / Style::Title.size() / 1.14;
        let mut head = vec![Shape::text(
            MARGIN,
            y,
            letters::shortened(&title, most),
            Style::Title,
        )];
        for line in &lines {
            y += 20.0;
            head.push(Shape::text(MARGIN, y, &**line, Style::Plain));
        }
        parts.push((self.id("drawing", "head"), head));
        y += 18.0;
        if drawn.is_empty() {
            let words = "Nothing is wired here.";
            parts.push((
                self.id("sheet", "1"),
                vec![Shape::text(MARGIN, y + 16.0, words, Style::Plain)],
            ));
            y += 32.0;
        }
        for (number, sheet) in drawn {
            let mut shapes = Vec::new();
            if of > 1 {
                shapes.push(Shape::Rule([MARGIN, y, widest - MARGIN]));
                y += GAP;
                let words = self.sheet_words(number, of);
                shapes.push(Shape::text(MARGIN, y, words, Style::Head));
                y += 12.0;
            }
            shapes.extend(sheet.shapes.into_iter().map(|shape| shape.moved((0.0, y))));
            parts.push((self.id("sheet", &(number + 1).to_string()), shapes));
            y += sheet.height + 14.0;
        }
        let mut foot = vec![Shape::Rule([MARGIN, y, widest - MARGIN])];
        y += 10.0;
        y = self.others(&mut foot, y, widest);
        let occurs = self.occurs(chosen.clone(), &areas);
        let (shapes, high) = legend(&self.said, &occurs, MARGIN, widest - 2.0 * MARGIN);
        foot.extend(shapes.into_iter().map(|shape| shape.moved((0.0, y))));
        y += high;
        parts.push((self.id("drawing", "legend"), foot));
        Picture {
            title,
            lines,
            width: widest.ceil(),
            height: (y + MARGIN / 2.0).ceil(),
            parts,
            items: self.items(&chosen),
            sheets: of,
        }
    }

    /// Findings that are about nothing that is drawn.
    fn others(&self, foot: &mut Vec<Shape>, mut y: f64, width: f64) -> f64 {
        let others = &self.told.others;
        if others.is_empty() {
            return y;
        }
        y += 10.0;
        foot.push(Shape::text(MARGIN, y + 6.0, "Also found", Style::Head));
        y += 28.0;
        for &nth in others.iter().take(MOST_OTHERS) {
            let finding = &self.a.findings[nth];
            foot.push(Shape::Sign((MARGIN, y), finding.severity));
            let room = width - 2.0 * MARGIN - SIGN - 6.0;
            let words = finding_line(self.plan(), finding);
            for line in letters::in_lines(&words, room, Style::Plain.size()) {
                foot.push(Shape::text(MARGIN + SIGN + 6.0, y, line, Style::Plain));
                y += 17.0;
            }
            y += 3.0;
        }
        if others.len() > MOST_OTHERS {
            let more = format!("and {} more", others.len() - MOST_OTHERS);
            foot.push(Shape::text(MARGIN + SIGN + 6.0, y, more, Style::Plain));
            y += 20.0;
        }
        y
    }

    /// What is drawn, and where it is written.
    fn items(&self, sheets: &std::ops::Range<usize>) -> Vec<DrawnItem> {
        let plan = self.plan();
        let is_here = |node: NodeId| {
            let place = self.places.at(node);
            place.is_some_and(|place| sheets.contains(&place.sheet))
        };
        let said = |id: String, name: &str, stanza: StanzaId, findings: &[usize]| {
            let of = plan.stanza(stanza);
            let name_span = of.name().map_or(of.word_span, |(_, span)| span);
            DrawnItem {
                id: letters::shown(&id),
                name: name.to_owned(),
                file: stanza.file,
                span: plan.in_file(stanza, of.core_span()),
                name_span: plan.in_file(stanza, name_span),
                findings: findings.to_vec(),
            }
        };
        let items = plan
            .items
            .iter()
            .enumerate()
            .filter(|(nth, _)| is_here(*nth));
        let items = items.map(|(nth, i)| {
            let id = self.id("item", &i.name.0);
            said(id, &i.name.0, i.stanza, &self.told.items[nth])
        });
        let mut stands: HashMap<LinkId, bool> = HashMap::new();
        for lane in &self.lanes.lanes {
            if let Owner::Link(id, true) = lane.owner {
                stands.insert(id, is_here(lane.node));
            }
        }
        let links = plan.links.iter().enumerate();
        let links = links.filter(|(nth, _)| stands.get(&LinkId(*nth)) == Some(&true));
        let links = links.map(|(nth, l)| {
            let id = self.id("link", &l.name.0);
            said(id, &l.name.0, l.stanza, &self.told.links[nth])
        });
        items.chain(links).collect()
    }
}
