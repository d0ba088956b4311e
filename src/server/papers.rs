//! Papers that a command opens in any client. They are written into a folder of their own among the system's temporary files;
//! nothing else of this server writes anything.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use tower_lsp::lsp_types::Url;

use super::plans::Here;

/// The name of a paper's file: that of the plan, and what it is. A name that comes from outside is no path.
pub fn name(here: &Here, ending: &str) -> String {
    let files = &here.plan.analysis.plan.files;
    let key = files.first().map_or("", |file| &*file.key.0);
    let name = Path::new(key).file_name();
    let name = name.map_or(key.into(), |name| name.to_string_lossy());
    let name = name.strip_suffix(".harness").unwrap_or(&name);
    let plain = |c: char| match c.is_alphanumeric() || "-_.".contains(c) {
        true => c,
        false => '-',
    };
    let name: String = name.chars().map(plain).take(80).collect();
    format!("{name}-{ending}")
}

/// The folder of this process for papers: nobody else can read it.
static FOLDER: OnceLock<PathBuf> = OnceLock::new();

/// Puts a paper where an editor or a browser can open it.
pub fn kept(name: &str, text: &str) -> std::io::Result<Url> {
    let folder = match FOLDER.get() {
        Some(folder) if folder.is_dir() => folder.clone(),
        _ => {
            // It stays when the process ends: an editor may still show what is in it.
            let folder = tempfile::Builder::new()
                .prefix("glimloom-")
                .tempdir()?
                .keep();
            FOLDER.get_or_init(|| folder.clone());
            folder
        }
    };
    let mut beside = tempfile::NamedTempFile::new_in(&folder)?;
    beside.write_all(text.as_bytes())?;
    let path = folder.join(name);
    beside.persist(&path)?;
    Url::from_file_path(&path).map_err(|()| std::io::Error::other("its path is no address"))
}
