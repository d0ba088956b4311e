//! Texts that nobody writes, made so that what is done with them takes as long or holds as much as it can: one thing very often, very
//! long, very deep. The server finds what there is to find in each, and answers meanwhile.
//!
//! `GLIMLOOM_EXTREMES=200000` makes them so many bytes long.

use std::fmt::Write;

use serde_json::{Value, json};

use super::memory::MB;
use super::{PLAN, everything, is_well, memory, requests_of};
use crate::wire::client::{Client, server};

/// So many bytes without being asked for more.
const BYTES: usize = 5_000;

/// What most of them begin with.
const HEAD: &str = "wire fine gauge 32 AWG colours red, black\nled pearl drops 3.0 V at 20 mA limit 30 mA\n\
                    supply s 12 V 1 A\nfuse F 900 mA from s\n";

/// Lines by their numbers, about so many bytes of them; then what stands behind.
fn lines(bytes: usize, line: impl Fn(usize, usize) -> String, behind: &str) -> String {
    let many = (bytes / line(0, bytes).len()).max(2);
    let mut text = HEAD.to_owned();
    for nth in 0..many {
        let _ = writeln!(text, "{}", line(nth, many));
    }
    text + behind
}

/// One piece again and again.
fn again(head: &str, piece: &str, bytes: usize) -> String {
    format!("{head}{}", piece.repeat(bytes / piece.len()))
}

/// Each of a chain is fed by the one before.
fn chain(bytes: usize, what: &str, values: &str) -> String {
    let before = |nth: usize| match nth {
        0 => "F".to_owned(),
        nth => format!("x{}", nth - 1),
    };
    let line = |nth: usize, _| format!("{what} x{nth} {values} from {}", before(nth));
    lines(bytes, line, "")
}

fn texts(bytes: usize) -> Vec<(&'static str, String)> {
    let lamps = |many: usize| {
        let lamp = |k| format!("lamp a{k} of pearl resistor 560 ohm from F over 100 mm of fine\n");
        (0..many).map(lamp).collect::<String>()
    };
    let list = |of: &str| again(&format!("{HEAD}{}scene n off a1", lamps(9)), of, bytes);
    let module = "module m works 6 V to 15 V draws 8 mA\n";
    let tape = "tape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V track 0.4 ohm per m\n";
    let mut texts = vec![
        ("commas", again("", ",", bytes)),
        ("quotes", again("", "\"", bytes)),
        ("escapes", again("zone a note \"", "\\", bytes)),
        ("one word", again("", "a", bytes)),
        ("one name", again("zone ", "a", bytes)),
        ("dots", again("joint ", "a.", bytes)),
        ("digits", again("supply s ", "9", bytes)),
        ("fractions", again("supply s ", "1/", bytes)),
        ("marks", again("zone a", "\u{301}\u{323}", bytes)),
        ("marks of order", again("", "\u{feff}", bytes)),
        ("astral", again("", "😀", bytes)),
        ("nothing", again("", "\u{0}", bytes)),
        ("line ends", again("zone a", "\r", bytes)),
        ("one stanza again", again("", "zone a\n", bytes)),
        ("unknown words", again("", "xyzzy plugh\n", bytes)),
        ("slips", again("", "lapm a of pearl\n", bytes)),
        ("clauses in lines", again("zone a\n", "  sealed\n", bytes)),
        ("clauses in one line", again("zone a", " sealed", bytes)),
        (
            "reasons",
            again("zone a\n", "  accept single-path because \"so\"\n", bytes),
        ),
        ("notes", again("zone a\n", "  note \"so\"\n", bytes)),
        (
            "treats",
            again("harness \"x\"\n", "  treat single-path as off\n", bytes),
        ),
        ("a list", list(", a2")),
        ("a list at the margin", list(",\na2")),
        ("a list of nothing", list(",")),
        ("a list of unknown names", list(", b2")),
        (
            "ways",
            format!(
                "{HEAD}zone y\nzone z\npassage p between y and z bore 2 mm\nlamp a of pearl from F via p{}",
                ", p".repeat(bytes / 3)
            ),
        ),
        ("joints", chain(bytes, "joint", "")),
        ("lamps", chain(bytes, "lamp", "of pearl resistor 9 kohm")),
        ("diodes", chain(bytes, "diode", "")),
        ("regulators", chain(bytes, "regulator", "5 V 1 A")),
        (
            "switching regulators",
            chain(bytes, "regulator", "5 V 1 A efficiency 85 %"),
        ),
        (
            "side by side",
            lines(bytes, |k, _| format!("load a{k} takes 20 mW from F"), ""),
        ),
        (
            "starved",
            lines(
                bytes,
                |k, _| format!("load a{k} takes 9 W from F over 900 m of fine"),
                "",
            ),
        ),
        (
            "a circle",
            lines(
                bytes,
                |k, many| format!("joint j{k} from j{}", (k + 1) % many),
                "",
            ),
        ),
        (
            "links",
            lines(
                bytes,
                |k, _| format!("link l{k} between F and s over 10 mm of fine"),
                "",
            ),
        ),
        (
            "returns",
            lines(
                bytes,
                |k, _| format!("lamp a{k} of pearl from F return to s"),
                "",
            ),
        ),
        (
            "supplies",
            lines(
                bytes,
                |k, _| format!("supply q{k} 9 V 1 A\nlamp a{k} of pearl from q{k}"),
                "",
            ),
        ),
        (
            "batteries",
            lines(
                bytes,
                |k, _| {
                    format!(
                        "supply q{k} 9 V capacity 500 mAh spent 6 V\nlamp a{k} of pearl resistor 560 ohm from q{k}"
                    )
                },
                "",
            ),
        ),
        (
            "scenes",
            lines(
                bytes,
                |k, _| format!("scene n{k} off a{}", k % 20),
                &lamps(20),
            ),
        ),
        (
            "stages",
            lines(
                bytes,
                |k, _| format!("stage n{k} fits a{}", k % 20),
                &lamps(20),
            ),
        ),
        (
            "trials",
            lines(
                bytes,
                |k, _| format!("tried a{} 20 mA at 12 V", k % 20),
                &lamps(20),
            ),
        ),
        (
            "zones",
            lines(
                bytes,
                |k, _| format!("zone z{k} as bright as z{}", k + 1),
                "",
            ),
        ),
        (
            "passages",
            lines(
                bytes,
                |k, _| format!("zone z{k}\npassage p{k} between z{k} and z0 bore 2 mm"),
                "",
            ),
        ),
        (
            "rooms in a row",
            lines(
                bytes,
                |k, _| {
                    format!(
                        "zone z{k}\npassage p{k} between z{k} and z{} bore 2 mm\n\
                         lamp a{k} of pearl resistor 560 ohm from F over 90 mm of fine in z{k}",
                        k + 1
                    )
                },
                "",
            ),
        ),
        (
            "lamps without resistors",
            lines(bytes, |k, _| format!("lamp a{k} of pearl from F"), ""),
        ),
        (
            "one name for all",
            lines(
                bytes,
                |_, _| "lamp a of pearl resistor 560 ohm from F".to_owned(),
                "",
            ),
        ),
        (
            "patterns",
            lines(
                bytes,
                |k, _| format!("pattern p{k}\nlamp p{k}.a of pearl from p{k}"),
                "",
            ),
        ),
        (
            "near names",
            lines(
                bytes,
                |k, _| format!("joint saloon-{k} from F\njoint b{k} from salon-{k}"),
                "",
            ),
        ),
        (
            "stock",
            lines(bytes, |k, _| format!("led l{k} drops 3 V at 20 mA"), ""),
        ),
        ("files", lines(bytes, |k, _| format!("use \"n{k}\""), "")),
        (
            "outputs",
            lines(
                bytes,
                |k, _| format!("  output o{k} 20 mA"),
                "board b of m from s\n",
            )
            .replacen(HEAD, &format!("{HEAD}{module}"), 1),
        ),
        (
            "boards",
            lines(
                bytes,
                |k, _| match k {
                    0 => format!("{module}  output o 20 mA\nboard b0 of m from F"),
                    k => format!("board b{k} of m from b{}.o", k - 1),
                },
                "",
            ),
        ),
        (
            "copies",
            lines(
                bytes,
                |k, _| match k % 2 {
                    0 => format!("lamp p.a{k} of pearl resistor 560 ohm from p"),
                    _ => format!("copy c{k} of p from F"),
                },
                "",
            )
            .replacen(HEAD, &format!("{HEAD}pattern p\n"), 1),
        ),
        (
            "tape without end",
            lines(
                200,
                |k, _| format!("strip a{k} of t 4294967294 lamps from F"),
                tape,
            ),
        ),
        (
            "long tape",
            lines(
                200,
                |k, _| format!("strip a{k} of t 5997 lamps from F"),
                tape,
            ),
        ),
    ];
    // As many states as there may be, of as many items as the rest makes room for.
    let joints = |k, _| format!("joint j{k} from F");
    let few: String = (0..24).map(|k| format!("scene n{k} off a{k}\n")).collect();
    let all = "o0, o1, o2, o3, o4, o5, o6, o7, o8, o9, o10, o11, o12, o13, o14, o15, o16, o17, o18, o19, o20, o21, o22, o23";
    let each: String = (0..24).map(|k| format!("  output o{k} 20 mA\n")).collect();
    let turning = format!("{module}{each}  turns {all}\n");
    let board = |k: usize| match k % 25 {
        0 => format!("board b{} of m from F", k / 25),
        o => format!("load x{k} takes 20 mW from b{}.o{}", k / 25, o - 1),
    };
    let states = lines(
        bytes,
        joints,
        &format!("{turning}board b of m from F\n{}{few}", lamps(24)),
    );
    texts.push(("states", states));
    let boards = lines(bytes, |k, _| board(k), &turning);
    texts.push(("turns in many boards", boards));
    let outputs: Vec<String> = (0..bytes / 40).map(|k| format!("o{k}")).collect();
    let each = outputs
        .iter()
        .map(|name| format!("  output {name} 20 mA\n"));
    texts.push((
        "turns",
        format!(
            "{HEAD}{module}{}  turns {}\nboard b of m from s\n",
            each.collect::<String>(),
            outputs.join(", ")
        ),
    ));
    texts
}

#[test]
fn texts_that_nobody_writes() {
    let bytes: usize = match std::env::var("GLIMLOOM_EXTREMES") {
        Ok(bytes) => bytes
            .parse()
            .expect("GLIMLOOM_EXTREMES is a number of bytes"),
        Err(_) => BYTES,
    };
    let mut client = Client::new(everything());
    let texts = texts(bytes);
    for (nth, (what, text)) in texts.iter().enumerate() {
        let version = nth as i64 * (KEYS + 1);
        // One with a finding in its last line, whatever else there is.
        let text = format!("{text}\n@@\n");
        match version {
            0 => client.open(PLAN, version, &text),
            _ => client.change(PLAN, version, json!([{"text": text}])),
        }
        let place = json!({"line": 4, "character": 8});
        let at = json!({"textDocument": {"uri": PLAN}, "position": place});
        let range = json!({"start": {"line": 0, "character": 0}, "end": place});
        let over =
            json!({"textDocument": {"uri": PLAN}, "range": range, "context": {"diagnostics": []}});
        let mut questions = requests_of(PLAN);
        let mut called = at.clone();
        called["newName"] = json!("quite-another");
        questions.push(("textDocument/hover", at.clone()));
        questions.push(("textDocument/completion", at));
        questions.push(("textDocument/rename", called));
        questions.push(("textDocument/codeAction", over.clone()));
        // What is worked out for all of the text.
        for kind in ["source.fixAll", "source.sort"] {
            let mut over = over.clone();
            over["range"]["end"]["line"] = json!(text.lines().count());
            over["context"]["only"] = json!([kind]);
            questions.push(("textDocument/codeAction", over));
        }
        for (method, params) in questions {
            let answer = client.request(method, params);
            // LSP 3.17, "Error codes": RequestFailed, in words.
            let code = answer["error"]["code"].as_i64();
            assert!(
                matches!(code, None | Some(-32803)),
                "{what}, {method}: {answer}"
            );
        }
        let found = client.findings(PLAN, version);
        assert!(!found.is_empty(), "{what}");
        type_into_the_longest_line(&mut client, version, &text);
        if let Some((_, most)) = memory::held(&client) {
            assert!(most < 512 * MB, "{what}: {most} kB");
        }
        client.unread();
    }
    let last = texts.len() as i64 * (KEYS + 1);
    client.change(PLAN, last, json!([{"text": Value::from("")}]));
    is_well(client);
}

/// So many keys are pressed in each.
const KEYS: i64 = 24;

/// Each makes another text, of which the server may keep some.
fn type_into_the_longest_line(client: &mut Client, version: i64, text: &str) {
    let lines = text.lines().enumerate();
    let Some((line, _)) = lines.max_by_key(|(_, line)| line.len()) else {
        return;
    };
    let at = json!({"line": line, "character": 2});
    for key in 1..=KEYS {
        let change = json!([{"range": {"start": at, "end": at}, "text": "x"}]);
        client.change(PLAN, version + key, change);
        client.findings(PLAN, version + key);
    }
}

/// What the command line says of such texts. It has half a gigabyte for it (POSIX, "ulimit": of data, in kilobytes).
#[test]
#[cfg(target_os = "linux")]
fn texts_that_nobody_writes_on_the_command_line() {
    let folder = crate::wire::folder::Folder::new("extremes");
    for (what, text) in texts(BYTES) {
        let name = what.replace(' ', "-") + ".harness";
        folder.write(&name, &format!("{text}\n@@\n"));
        for arguments in [
            &["check"][..],
            &["check", "--sarif"],
            &["format", "--check"],
            &["draw"],
            &["sheet"],
        ] {
            let mut command = std::process::Command::new("sh");
            let limited = "ulimit -d 524288 && exec \"$0\" \"$@\"";
            command.args(["-c", limited, server().get_program().to_str().unwrap()]);
            command.args(arguments).arg(&name).current_dir(&folder.0);
            let done = command.output().unwrap();
            let said = String::from_utf8_lossy(&done.stderr);
            assert!(
                matches!(done.status.code(), Some(0 | 1)) && !said.contains("panicked"),
                "{what}, {arguments:?}: {} {said}",
                done.status
            );
        }
    }
}
