//! The drawing, sheet by sheet, so that none is cut through where a page of paper ends.

use crate::checks::Analysis;
use crate::papers::drawing::{Wanted, draw};
use crate::papers::page::{Block, Section};

/// Of more sheets none is put in: they would be most of the paper.
const MOST: usize = 12;

/// The section. `name` stands in for a title that the plan does not have.
pub fn section(a: &Analysis, name: &str) -> Section {
    let mut section = Section::new("drawing", "Drawing").on_new_page();
    if a.plan.items.is_empty() {
        return section;
    }
    let sheet = |nth| {
        let wanted = Wanted {
            name,
            scene: None,
            zone: None,
            supply: None,
            sheet: Some(nth),
            theme: None,
            within_a_page: false,
        };
        draw(a, &wanted).ok()
    };
    let Some(first) = sheet(1) else {
        return section;
    };
    let all = first.sheets;
    if all > MOST {
        section.say(format!(
            "It has {all} sheets; glimloom draw makes it, of the whole plan or of one zone or supply."
        ));
        return section;
    }
    let others = (2..=all).filter_map(sheet);
    for (n, drawing) in std::iter::once(first).chain(others).enumerate() {
        section.put(Block::Drawing {
            name: format!("The feed with everything on: sheet {} of {all}", n + 1),
            svg: drawing.svg,
        });
    }
    section
}
