//! Addresses of every kind.

use serde_json::Value;

use super::{everything, is_well, requests_of};
use crate::wire::client::Client;

const ADDRESSES: [&str; 21] = [
    "file:///a%20b/%C3%A9.harness",
    "file:///c:/Models/plan.harness",
    "file:///C%3A/Models/plan.harness",
    "file:///c%3A/Models/%5Bdeck%5D.harness",
    "file://server/share/plan.harness",
    "file:///%2e%2e/%2e%2e/plan.harness",
    "file:///a/../../b.harness",
    "file:///a//b///c.harness",
    "file:///%00.harness",
    "file:///%FF%FE.harness",
    "file:///a%2Fb.harness",
    "file:///plan.harness?query=1#part",
    "file:///",
    "untitled:Untitled-1",
    "untitled:/tmp/new.harness",
    "vscode-notebook-cell:/a/b.ipynb#W0sZmlsZQ",
    "git:/plan.harness?%7B%22ref%22%3A%22~%22%7D",
    "ssh://somebody@nowhere.invalid/plan.harness",
    "data:text/plain,zone%20a",
    "urn:uuid:00000000-0000-0000-0000-000000000000",
    "x-y.z+1:q",
];

#[test]
fn addresses_of_every_kind() {
    let mut client = Client::new(everything());
    for uri in ADDRESSES {
        client.open(uri, 1, "zone a\n@@\n");
        // Findings are told of the address in the form of the URL standard, which is what all editors send.
        let url = lsp_types::Url::parse(uri).unwrap();
        let uri = url.as_str();
        let found = client.findings(uri, 1);
        assert_eq!(found.len(), 1, "{uri}");
        for (method, params) in requests_of(uri) {
            let answer = client.request(method, params);
            assert!(answer["error"].is_null(), "{method} of {uri}: {answer}");
        }
        client.close(uri);
        assert_eq!(client.findings(uri, Value::Null), [] as [Value; 0], "{uri}");
    }
    is_well(client);
}

#[test]
fn addresses_that_are_none() {
    let mut client = Client::new(everything());
    for uri in [
        "",
        " ",
        "plan.harness",
        "/plan.harness",
        "C:\\plan.harness",
        "//x",
        ":",
        "file",
        "http://[",
        "\u{0}",
    ] {
        client.open(uri, 1, "@@\n");
        client.close(uri);
        for (method, params) in requests_of(uri) {
            client.request(method, params);
        }
    }
    is_well(client);
}
