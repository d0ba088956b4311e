//! `glimloom check --sarif`, held against SARIF 2.1.0 (OASIS standard, 27 March 2020). The members that its schema
//! requires and the values that it allows are from memory.

use serde_json::{Value, json};

use super::{CLEAN, Folder, badly_cut};

fn log(folder: &Folder, arguments: &[&str]) -> (Option<i32>, Value) {
    let done = folder.call(&[&["check", "--sarif"], arguments].concat());
    assert_eq!(done.err, "");
    (done.status, serde_json::from_str(&done.out).unwrap())
}

fn list<'a>(of: &'a Value, member: &str) -> &'a [Value] {
    of[member]
        .as_array()
        .unwrap_or_else(|| panic!("{member} in {of}"))
}

/// 3.29 `physicalLocation`: an artifact or an address is required; 3.4 its `uri` is a URI reference; 3.30 `region`: lines and
/// columns count from 1.
fn is_location(location: &Value) {
    let place = &location["physicalLocation"];
    let uri = place["artifactLocation"]["uri"].as_str().unwrap();
    assert!(
        uri.is_ascii() && !uri.contains([' ', '"', '\\', '<', '>', '^', '`']),
        "{uri}"
    );
    for member in ["startLine", "startColumn", "endLine", "endColumn"] {
        assert!(place["region"][member].as_u64().unwrap() >= 1, "{place}");
    }
}

/// 3.11 `message`: a text or an id.
fn is_message(message: &Value) {
    assert!(!message["text"].as_str().unwrap().is_empty());
}

/// What the schema requires of a log, a run, a tool, a rule, a result, a location.
fn is_valid(log: &Value) {
    assert_eq!(log["version"], "2.1.0");
    for run in list(log, "runs") {
        assert!(run["tool"]["driver"]["name"].is_string());
        assert!(
            ["utf16CodeUnits", "unicodeCodePoints"].contains(&run["columnKind"].as_str().unwrap())
        );
        let rules = list(&run["tool"]["driver"], "rules");
        let levels = ["none", "note", "warning", "error"];
        for rule in rules {
            assert!(rule["id"].is_string());
            is_message(&rule["shortDescription"]);
            is_message(&rule["help"]);
            assert!(levels.contains(&rule["defaultConfiguration"]["level"].as_str().unwrap()));
        }
        for result in list(run, "results") {
            is_message(&result["message"]);
            let rule = result["ruleIndex"].as_u64().unwrap() as usize;
            assert_eq!(rules[rule]["id"], result["ruleId"]);
            assert!(levels.contains(&result["level"].as_str().unwrap()));
            list(result, "locations").iter().for_each(is_location);
            for (id, related) in result["relatedLocations"]
                .as_array()
                .into_iter()
                .flatten()
                .enumerate()
            {
                assert_eq!(related["id"], id);
                is_message(&related["message"]);
                is_location(related);
            }
        }
    }
}

#[test]
fn a_log_of_findings() {
    let folder = Folder::new("sarif").with("ship one/tern å.harness", badly_cut());
    let (status, log) = log(&folder, &["ship one/tern å.harness"]);
    is_valid(&log);
    assert_eq!(status, Some(1));
    let results = list(&log["runs"][0], "results");
    assert_eq!(results.len(), 1, "{results:#?}");
    let cut = &results[0];
    assert_eq!(cut["ruleId"], "cut-inside-group");
    assert_eq!(cut["level"], "error");
    let location = &cut["locations"][0];
    let place = &location["physicalLocation"];
    assert_eq!(
        place["artifactLocation"]["uri"],
        "ship%20one/tern%20%C3%A5.harness"
    );
    assert_eq!(
        place["region"],
        json!({"startLine": 13, "startColumn": 21, "endLine": 13, "endColumn": 28})
    );
    assert_eq!(location["logicalLocations"], json!([{"name": "cabin"}]));
    assert!(!list(&cut["properties"], "mends").is_empty());
}

#[test]
fn every_check_is_a_rule_with_its_page() {
    let folder = Folder::new("sarif-rules").with("tern.harness", CLEAN);
    let (status, log) = log(&folder, &["tern.harness"]);
    is_valid(&log);
    assert_eq!(status, Some(0));
    assert_eq!(list(&log["runs"][0], "results"), [] as [Value; 0]);
    let rules = list(&log["runs"][0]["tool"]["driver"], "rules");
    assert_eq!(rules.len(), glimloom::checks::CHECKS.len());
    for rule in rules {
        let page = glimloom::checks::explain(rule["id"].as_str().unwrap()).unwrap();
        assert_eq!(rule["help"]["markdown"], page);
    }
}

#[test]
fn planted_mistakes_have_places_that_explain_them() {
    let plans = crate::tidy::root().join("tests/plans/planted");
    let folder = Folder::new("sarif-planted");
    let (status, log) = log(&folder, &[plans.to_str().unwrap()]);
    is_valid(&log);
    assert_eq!(status, Some(1));
    let results = list(&log["runs"][0], "results");
    let chain = results
        .iter()
        .find(|r| r["ruleId"] == "single-path")
        .unwrap();
    assert!(!list(chain, "relatedLocations").is_empty());
    let uri = &chain["locations"][0]["physicalLocation"]["artifactLocation"]["uri"];
    assert!(uri.as_str().unwrap().starts_with("file:///"), "{uri}");
}

/// RFC 3986, section 2.1: an octet of a name that is no text is written by its two digits.
#[cfg(target_os = "linux")]
#[test]
fn a_name_that_is_no_text_keeps_its_bytes() {
    use std::os::unix::ffi::OsStrExt;
    let folder = Folder::new("sarif-bytes");
    let name = std::ffi::OsStr::from_bytes(b"a\xff.harness");
    std::fs::write(folder.0.join(name), badly_cut()).unwrap();
    let (status, log) = log(&folder, &["."]);
    is_valid(&log);
    assert_eq!(status, Some(1));
    let place = &list(&log["runs"][0], "results")[0]["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "a%FF.harness");
}
