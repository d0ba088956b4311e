//! Text from bytes: an ASCII byte is itself, any other one a piece of those that are easily got wrong. So a short input has
//! much in it.

/// Such a text.
pub fn pieced(bytes: &[u8], pieces: &[&str]) -> String {
    let mut text = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        match byte {
            ..0x80 => text.push(char::from(*byte)),
            _ => text.push_str(pieces[usize::from(*byte) % pieces.len()]),
        }
    }
    text
}
