//! `glimloom explain`: the page of a check.

use std::process::ExitCode;

use glimloom::checks::{check_names, explain as page_of};

use super::{Trouble, out};

/// The page of a check.
pub fn explain(check: &str) -> Result<ExitCode, Trouble> {
    match (page_of(check), check_names::nearest(check)) {
        (Some(page), _) => out::print(page, 0),
        (None, Some(near)) => Err(format!(
            "there is no page for {check:?}; nearest name: {near}"
        )),
        (None, None) => Err(format!("there is no check named {check:?}")),
    }
}
