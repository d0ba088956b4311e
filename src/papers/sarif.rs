//! Findings in the Static Analysis Results Interchange Format, SARIF 2.1.0 (an OASIS standard), which code reviews and
//! build servers read. The rules are the checks, each with its page.

use std::path::{Path, PathBuf};

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, percent_encode};
use serde::Serialize;
use serde_json::value::{RawValue, to_raw_value};
use serde_json::{Value, json};

use super::json::{FindingOfFile, written};
use super::places::{Place, Places};
use crate::checks::{Analysis, CHECKS, Check};
use crate::plan::{Severity, StanzaId};

/// What stands for itself in a segment of a path (RFC 3986, section 3.3: `unreserved`), and what parts segments.
const PATH: &AsciiSet = &NON_ALPHANUMERIC
    .remove(b'-')
    .remove(b'.')
    .remove(b'_')
    .remove(b'~')
    .remove(b'/');

/// Behind the scheme a colon is of no harm.
const DRIVE: AsciiSet = PATH.remove(b':');

/// One finding (`result`), with the places that explain it and the titles of its mends; written already, for that takes less
/// to hold where there are very many. `path` gives the path of each file, as it was named.
pub fn result(
    a: &Analysis,
    index: usize,
    told: &FindingOfFile,
    places: &Places,
    path: &dyn Fn(usize) -> PathBuf,
) -> Option<Box<RawValue>> {
    let finding = a.findings.get(index)?;
    let location = |stanza: StanzaId, span| {
        let place = places.find(stanza, span)?;
        Some(location(place, &path(stanza.file.0)))
    };
    let mut own = location(finding.stanza, finding.span)?;
    if let Some(item) = &told.item {
        own["logicalLocations"] = json!([{"name": item}]);
    }
    let related = finding.related.iter().enumerate();
    let related: Vec<Value> = related
        .filter_map(|(id, (stanza, span, why))| {
            let mut place = location(*stanza, *span)?;
            place["id"] = json!(id);
            place["message"] = json!({"text": why});
            Some(place)
        })
        .collect();
    let mut result = json!({
        "ruleId": finding.check,
        "ruleIndex": CHECKS.iter().position(|check| check.name == finding.check)?,
        "level": level(finding.severity),
        "message": {"text": finding.message},
        "locations": [own],
    });
    if !related.is_empty() {
        result["relatedLocations"] = json!(related);
    }
    if !told.fixes.is_empty() {
        result["properties"] = json!({"mends": told.fixes});
    }
    to_raw_value(&result).ok()
}

/// A log (`sarifLog`).
#[derive(Serialize)]
struct Log {
    #[serde(rename = "$schema")]
    schema: &'static str,
    runs: [Run; 1],
    version: &'static str,
}

/// What one call found (`run`).
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run {
    column_kind: &'static str,
    results: Vec<Box<RawValue>>,
    tool: Value,
}

/// All findings in one log, of one run.
pub fn log(results: Vec<Box<RawValue>>) -> String {
    let rules: Vec<Value> = CHECKS.iter().map(rule).collect();
    let tool = json!({"driver": {
        "name": env!("CARGO_PKG_NAME"),
        "version": env!("CARGO_PKG_VERSION"),
        "rules": rules,
    }});
    written(&Log {
        schema: "https://json.schemastore.org/sarif-2.1.0.json",
        runs: [Run {
            // Columns count characters.
            column_kind: "unicodeCodePoints",
            results,
            tool,
        }],
        version: "2.1.0",
    })
}

/// A check as a rule (`reportingDescriptor`): what the head of its page says of it, and the whole page.
fn rule(check: &Check) -> Value {
    let title = check.page.lines().next().unwrap_or("");
    let short = title.split_once(": ").map_or(title, |(_, what)| what);
    let worst = check.severities.iter().max().copied();
    json!({
        "id": check.name,
        "shortDescription": {"text": short},
        "help": {"text": check.page, "markdown": check.page},
        "defaultConfiguration": {"level": level(worst.unwrap_or(Severity::Warning))},
    })
}

fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "note",
    }
}

fn location(place: Place, path: &Path) -> Value {
    json!({"physicalLocation": {
        "artifactLocation": {"uri": uri(path)},
        "region": {
            "startLine": place.start.0,
            "startColumn": place.start.1,
            "endLine": place.end.0,
            "endColumn": place.end.1,
        },
    }})
}

/// A path as a URI reference (RFC 3986): a relative one as it is, else with its scheme. What in it is no text keeps its bytes.
fn uri(path: &Path) -> String {
    let mut bytes = path.as_os_str().as_encoded_bytes().to_vec();
    let separators = bytes
        .iter_mut()
        .filter(|b| std::path::is_separator(**b as char));
    separators.for_each(|b| *b = b'/');
    if !path.is_absolute() {
        return percent_encode(&bytes, PATH).to_string();
    }
    // `/ships/x`, or `C:/ships/x`: behind the empty authority the path begins with a slash.
    let slash = if bytes.starts_with(b"/") { "" } else { "/" };
    let path = percent_encode(&bytes, &DRIVE);
    format!("file://{slash}{path}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_a_uri() {
        let uri = |path: &str| uri(Path::new(path));
        assert_eq!(uri("ship/a b.harness"), "ship/a%20b.harness");
        assert_eq!(uri("a:b#é?.harness"), "a%3Ab%23%C3%A9%3F.harness");
        assert_eq!(uri("../x"), "../x");
        assert_eq!(uri("/ships/x"), "file:///ships/x");
    }

    /// RFC 3986, section 2.1: an octet is written by its two digits.
    #[cfg(unix)]
    #[test]
    fn a_name_that_is_no_text_keeps_its_bytes() {
        use std::os::unix::ffi::OsStrExt;
        let name = std::ffi::OsStr::from_bytes(b"/ships/a\xff\xc3\xa9.harness");
        assert_eq!(uri(Path::new(name)), "file:///ships/a%FF%C3%A9.harness");
    }

    #[test]
    fn every_rule_says_what_it_is_about() {
        for check in CHECKS {
            let rule = rule(check);
            let short = rule["shortDescription"]["text"].as_str().unwrap();
            assert!(
                !short.is_empty() && !short.contains('`') && !short.starts_with('#'),
                "{short}"
            );
        }
    }
}
