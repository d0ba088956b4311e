//! Compiles the committed parser.

fn main() {
    let source = std::path::Path::new("../../../../editors/tree-sitter-harness/src");
    let files = [source.join("parser.c"), source.join("scanner.c")];
    for file in files.iter().chain(&[source.join("reserved.h")]) {
        println!("cargo:rerun-if-changed={}", file.display());
    }
    cc::Build::new()
        .include(source)
        .files(files)
        .std("c11")
        .opt_level(1)
        .warnings(false)
        .compile("harness");
}
