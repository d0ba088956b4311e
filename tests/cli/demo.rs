//! The demonstration holds what it shows against what it expects; its exit status says whether all was so.

use super::Folder;

#[test]
fn the_demonstration_passes() {
    let done = Folder::new("demo").call(&["demo"]);
    assert_eq!((done.status, &*done.err), (Some(0), ""), "{}", done.out);
    for told in ["bay-3", "cut", "mA", "  + "] {
        assert!(done.out.contains(told), "{told}: {}", done.out);
    }
    assert!(!done.out.contains('\u{1b}'), "{}", done.out);
}
