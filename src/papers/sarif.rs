//! Findings in the Static Analysis Results Interchange Format, SARIF 2.1.0 (an OASIS standard), which code reviews and
//! build servers read. The rules are the checks, each with its page.

use std::path::Path;

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Serialize;
use serde_json::value::{RawValue, to_raw_value};
use serde_json::{Value, json};

use super::json::{FindingOfFile, written};
use super::places::{Place, Places};
use crate::checks::{Analysis, CHECKS, Check};
use crate::plan::Severity;

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
/// to hold where there are very many.
pub fn result(
    a: &Analysis,
    index: usize,
    told: &FindingOfFile,
    places: &Places,
) -> Option<Box<RawValue>> {
    let finding = a.findings.get(index)?;
    let mut location = location(places.find(finding.stanza, finding.span)?);
    if let Some(item) = &told.item {
        location["logicalLocations"] = json!([{"name": item}]);
    }
    let related = finding.related.iter().enumerate();
    let related: Vec<Value> = related
        .filter_map(|(id, (stanza, span, why))| {
            let mut place = self::location(places.find(*stanza, *span)?);
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
        "locations": [location],
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

fn location(place: Place) -> Value {
    json!({"physicalLocation": {
        "artifactLocation": {"uri": uri(place.file)},
        "region": {
            "startLine": place.start.0,
            "startColumn": place.start.1,
            "endLine": place.end.0,
            "endColumn": place.end.1,
        },
    }})
}

/// A path as a URI reference (RFC 3986): a relative one as it is, else with its scheme.
fn uri(path: &str) -> String {
    let slashes = path.replace(std::path::MAIN_SEPARATOR, "/");
    if !Path::new(path).is_absolute() {
        return utf8_percent_encode(&slashes, PATH).to_string();
    }
    // `/ships/x`, or `C:/ships/x`: behind the empty authority the path begins with a slash.
    let slash = if slashes.starts_with('/') { "" } else { "/" };
    let path = utf8_percent_encode(&slashes, &DRIVE);
    format!("file://{slash}{path}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_a_uri() {
        assert_eq!(uri("ship/a b.harness"), "ship/a%20b.harness");
        assert_eq!(uri("a:b#é?.harness"), "a%3Ab%23%C3%A9%3F.harness");
        assert_eq!(uri("../x"), "../x");
        assert_eq!(uri("/ships/x"), "file:///ships/x");
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
