//! Where the pages of the checks are to be found, so that a finding can lead to its own.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use tower_lsp::lsp_types::Url;

use crate::checks::CHECKS;

/// The address of each check's page; none where the pages are not to be found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pages(HashMap<&'static str, Url>);

impl Pages {
    /// In the folder that the user names (an address with a slash at its end), else in the first that is there: beside
    /// the program as it is installed or built, or where it was built.
    pub fn find(named: Option<&Url>) -> Pages {
        let folder = named.cloned();
        let folder = folder.or_else(|| folders().find_map(|folder| address(&folder)));
        let page = |check: &str| folder.as_ref()?.join(&format!("{check}.md")).ok();
        let names = CHECKS.iter().map(|check| check.name);
        Pages(names.filter_map(|name| Some((name, page(name)?))).collect())
    }

    /// The page of a check.
    pub fn of(&self, check: &str) -> Option<Url> {
        self.0.get(check).cloned()
    }
}

/// Folders that may hold the pages: `share/glimloom/checks` beside an installed program's `bin`, and
/// the project's own `docs/checks`.
fn folders() -> impl Iterator<Item = PathBuf> {
    let program = std::env::current_exe().unwrap_or_default();
    let above: Vec<PathBuf> = program
        .ancestors()
        .skip(2)
        .take(3)
        .map(Path::to_owned)
        .collect();
    above
        .into_iter()
        .flat_map(|folder| {
            [
                folder.join("share/glimloom/checks"),
                folder.join("docs/checks"),
            ]
        })
        .chain([Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/checks")])
}

/// The address of a folder, if it is one with our pages in it.
fn address(folder: &Path) -> Option<Url> {
    folder
        .join("single-path.md")
        .is_file()
        .then(|| Url::from_directory_path(folder).ok())?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_user_may_name_the_folder() {
        let folder = Url::parse("https://example.org/checks/").unwrap();
        let page = Pages::find(Some(&folder)).of("single-path");
        assert_eq!(
            page.unwrap().as_str(),
            "https://example.org/checks/single-path.md"
        );
    }

    #[test]
    fn the_projects_own_pages_are_found() {
        let page = Pages::find(None).of("single-path").unwrap();
        assert!(page.to_file_path().unwrap().is_file(), "{page}");
        assert_eq!(Pages::default().of("single-path"), None);
    }
}
