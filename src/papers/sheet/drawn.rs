//! The drawing, sheet by sheet, so that none is cut through where a page of paper ends.

use crate::checks::Analysis;
use crate::papers::drawing::{Drawing, Wanted, draw};
use crate::papers::page::{Block, Section};

/// Of more sheets none is put in: they would be most of the paper.
const MOST: usize = 16;

/// The room that a page leaves a drawing, millimetres: the smaller of A4 and Letter, as `style.css` has it.
const UPRIGHT: (f64, f64) = (186.0, 230.0);

/// The same of a page that lies across.
const ACROSS: (f64, f64) = (255.0, 155.0);

/// By how much a drawing is made smaller to fit.
fn scale(drawing: (f64, f64), page: (f64, f64)) -> f64 {
    const MILLIMETRE: f64 = 96.0 / 25.4;
    (page.0 * MILLIMETRE / drawing.0).min(page.1 * MILLIMETRE / drawing.1)
}

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
    let drawings: Vec<Drawing> = std::iter::once(first).chain(others).collect();
    // All of one section lie the same way: so that the smallest letters are as large as can be.
    let least = |page| {
        let scales = drawings.iter().map(|drawing| scale(drawing.size, page));
        scales.fold(1.0, f64::min)
    };
    let across = least(ACROSS) > least(UPRIGHT);
    for (n, drawing) in drawings.into_iter().enumerate() {
        section.put(Block::Drawing {
            name: format!("The feed with everything on: sheet {} of {all}", n + 1),
            svg: drawing.svg,
            across,
        });
    }
    section
}
