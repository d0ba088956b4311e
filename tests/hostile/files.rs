//! Files that change under the server's feet, and disks that take no more.
#![cfg(unix)]

use std::fs;
use std::process::Command;

use serde_json::json;

use super::{everything, is_well};
use crate::wire::client::Client;
use crate::wire::folder::Folder;

const STOCK: &str = "led pearl drops 3 V at 20 mA\n";
const PLAN: &str = "use \"stock.harness\"\nsupply adapter 12 V 1 A\nfuse F1 200 mA from adapter\nlamp bow of pearl resistor 560 ohm from F1\n@@\n";

/// What is wrong with the used file, in words, after it has been changed.
fn told(client: &mut Client, folder: &Folder, version: &mut i64) -> Vec<String> {
    let uri = folder.uri("plan.harness");
    let changes = json!([{"uri": folder.uri("stock.harness"), "type": 2}]);
    client.notify(
        "workspace/didChangeWatchedFiles",
        json!({"changes": changes}),
    );
    *version += 1;
    client.change(&uri, *version, json!([{"text": PLAN}]));
    let found = client.findings(&uri, *version);
    found
        .iter()
        .filter(|f| f["range"]["start"]["line"] == 0)
        .map(|f| f["message"].as_str().unwrap().to_owned())
        .collect()
}

#[test]
fn a_used_file_that_changes_into_anything() {
    let folder = Folder::new("under-the-feet");
    let uri = folder.write("plan.harness", PLAN);
    folder.write("stock.harness", STOCK);
    let stock = folder.0.join("stock.harness");
    let mut client = Client::silent();
    client.shake_hands(json!({"rootUri": folder.root(), "capabilities": everything()}));
    client.open(&uri, 1, PLAN);
    client.findings(&uri, 1);
    let mut version = 1;
    let well = |client: &mut Client, version: &mut i64| {
        let _ = fs::remove_dir_all(&stock);
        let _ = fs::remove_file(&stock);
        fs::write(&stock, STOCK).unwrap();
        assert_eq!(
            told(client, &folder, version),
            [""; 0],
            "the file is as it was"
        );
    };
    well(&mut client, &mut version);
    let outside = Folder::new("outside");
    outside.write("secret.harness", STOCK);
    type Change<'a> = (&'a str, Box<dyn Fn() + 'a>);
    let changes: [Change; 8] = [
        ("gone", Box::new(|| fs::remove_file(&stock).unwrap())),
        (
            "other letters",
            Box::new(|| {
                let mut utf_16 = vec![0xff, 0xfe];
                utf_16.extend(STOCK.encode_utf16().flat_map(u16::to_le_bytes));
                fs::write(&stock, utf_16).unwrap();
            }),
        ),
        (
            "no letters at all",
            Box::new(|| fs::write(&stock, [0xff, 0xfe, 0, 0x80]).unwrap()),
        ),
        (
            "very much longer",
            Box::new(|| fs::write(&stock, STOCK.to_owned() + &"# x\n".repeat(8 << 20)).unwrap()),
        ),
        (
            "a folder",
            Box::new(|| {
                fs::remove_file(&stock).unwrap();
                fs::create_dir(&stock).unwrap();
            }),
        ),
        (
            "a pipe",
            Box::new(|| {
                fs::remove_file(&stock).unwrap();
                let made = Command::new("mkfifo").arg(&stock).status().unwrap();
                assert!(made.success());
            }),
        ),
        (
            "a way out of the folder",
            Box::new(|| {
                fs::remove_file(&stock).unwrap();
                std::os::unix::fs::symlink(outside.0.join("secret.harness"), &stock).unwrap();
            }),
        ),
        (
            "a way to itself",
            Box::new(|| {
                fs::remove_file(&stock).unwrap();
                std::os::unix::fs::symlink(&stock, &stock).unwrap();
            }),
        ),
    ];
    for (what, change) in changes {
        change();
        let said = told(&mut client, &folder, &mut version);
        assert_eq!(said.len(), 1, "{what}: {said:?}");
        well(&mut client, &mut version);
    }
    is_well(client);
}

#[test]
fn paths_that_lead_elsewhere() {
    let folder = Folder::new("elsewhere");
    let outside = Folder::new("beyond");
    outside.write("secret.harness", STOCK);
    let absolute = outside.0.join("secret.harness").display().to_string();
    let beside = format!(
        "../{}/secret.harness",
        outside.0.file_name().unwrap().to_string_lossy()
    );
    std::os::unix::fs::symlink(&outside.0, folder.0.join("door")).unwrap();
    let paths = [
        absolute.as_str(),
        &beside,
        "door/secret.harness",
        "door/../door/secret.harness",
        "/dev/zero",
        "/dev/stdin",
        "/proc/self/environ",
        "../../../../../../etc/hostname",
        "file:///etc/hostname",
        "%2e%2e/secret.harness",
        "..%2fsecret.harness",
        "\\\\\\\\server\\\\share\\\\x.harness",
        "//server/share/x.harness",
        "C:\\\\x.harness",
        "NUL",
        "con.harness",
        "",
        ".",
        "..",
        "a\u{0}b",
        "~/x.harness",
    ];
    let mut client = Client::silent();
    client.shake_hands(json!({"rootUri": folder.root(), "capabilities": everything()}));
    for (nth, path) in paths.iter().enumerate() {
        let uri = folder.uri(&format!("{nth}.harness"));
        client.open(&uri, 1, &format!("use \"{path}\"\n"));
        let found = client.findings(&uri, 1);
        assert_eq!(found.len(), 1, "{path}: {found:?}");
        let said = found[0]["message"].as_str().unwrap();
        assert!(!said.contains("pearl"), "{path}: {said}");
        let at = json!({"textDocument": {"uri": uri}, "position": {"line": 0, "character": 6}});
        for method in [
            "textDocument/completion",
            "textDocument/hover",
            "textDocument/definition",
        ] {
            let answer = client.result(method, at.clone());
            assert!(
                !answer.to_string().contains("secret"),
                "{method} at {path}: {answer}"
            );
        }
        client.close(&uri);
    }
    is_well(client);
}

/// A disk that is full, as a process feels one that may write no more: the old file stays whole.
#[test]
fn a_disk_that_takes_no_more() {
    let folder = Folder::new("full");
    let long = "zone    a\n".to_owned() + &"# a long plan\n".repeat(2000);
    folder.write("plan.harness", &long);
    let program = env!("CARGO_BIN_EXE_glimloom");
    let call = |arguments: &str| {
        Command::new("bash")
            .current_dir(&folder.0)
            .args([
                "-c",
                &format!("trap '' XFSZ; ulimit -f 4; '{program}' {arguments}"),
            ])
            .output()
            .unwrap()
    };
    let done = call("format plan.harness");
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("plan.harness"), "{said}");
    assert_eq!(
        fs::read_to_string(folder.0.join("plan.harness")).unwrap(),
        long
    );
    fs::write(folder.0.join("sheet.html"), "").unwrap();
    let done = call("sheet plan.harness -o sheet.html");
    assert_eq!(done.status.code(), Some(2));
    assert_eq!(fs::read_to_string(folder.0.join("sheet.html")).unwrap(), "");
    let mut left: Vec<String> = fs::read_dir(&folder.0)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    left.sort();
    assert_eq!(
        left,
        ["plan.harness", "sheet.html"],
        "nothing half written is left"
    );
}
