//! Cutting a stream of bytes into frames: a header with `Content-Length`, an empty line, a body. After anything
//! that is no frame, reading goes on at the next header instead of giving up.

const LENGTH: &[u8] = b"content-length:";
/// No header is longer; what is, is noise.
const MAX_HEADER: usize = 4096;
/// The largest body: a text of the largest size, with room for JSON's escapes.
const MAX_BODY: usize = 64 * 1024 * 1024;

/// Room for so many bytes is given back when it is not needed any more.
const LARGE: usize = 1024 * 1024;

/// What stands next in the stream.
#[derive(Debug, PartialEq, Eq)]
pub enum Frame {
    /// A body of the length that its header said.
    Body(Vec<u8>),
    /// Bytes that belong to no frame were skipped.
    Noise,
}

/// The bytes that came and were not yet read.
#[derive(Default)]
pub struct Frames {
    buffer: Vec<u8>,
    /// Where reading goes on.
    at: usize,
    /// Where the last body starts, in case it turns out to be none.
    body: usize,
    /// The noise around here has been reported.
    reported: bool,
}

enum Header {
    Partial,
    Wrong,
    /// Its body starts at `.0` and has `.1` bytes.
    Whole(usize, usize),
}

impl Frames {
    /// More bytes came.
    pub fn feed(&mut self, bytes: &[u8]) {
        self.buffer.drain(..self.at);
        self.at = 0;
        if self.buffer.is_empty() && self.buffer.capacity() > LARGE {
            self.buffer = Vec::new();
        }
        self.buffer.extend_from_slice(bytes);
    }

    /// The next frame, if it is here already.
    pub fn take(&mut self) -> Option<Frame> {
        loop {
            let ahead = &self.buffer[self.at..];
            let Some(start) = find_length(ahead) else {
                if ahead.len() <= MAX_HEADER {
                    return None;
                }
                self.at = self.buffer.len() - LENGTH.len();
                self.reported_once()?;
                return Some(Frame::Noise);
            };
            let clean = ahead[..start].split(|b| *b == b'\n').all(is_harmless);
            self.at += start;
            if !clean && self.reported_once().is_some() {
                return Some(Frame::Noise);
            }
            match header(&self.buffer[self.at..]) {
                Header::Partial => return None,
                Header::Wrong => {
                    self.at += LENGTH.len();
                    if self.reported_once().is_some() {
                        return Some(Frame::Noise);
                    }
                }
                Header::Whole(body, length) => {
                    let body = self.at + body;
                    let bytes = self.buffer.get(body..body + length)?.to_vec();
                    self.body = body;
                    self.at = body + length;
                    self.reported = false;
                    return Some(Frame::Body(bytes));
                }
            }
        }
    }

    /// The last body was not JSON, so that its length may have been wrong: look for a header inside it, too. To
    /// be called before more is fed.
    pub fn reread(&mut self) {
        self.at = self.body;
        self.reported = true;
    }

    fn reported_once(&mut self) -> Option<()> {
        (!std::mem::replace(&mut self.reported, true)).then_some(())
    }
}

fn find_length(bytes: &[u8]) -> Option<usize> {
    bytes
        .windows(LENGTH.len())
        .position(|window| window.eq_ignore_ascii_case(LENGTH))
}

/// A blank line or the other header of the protocol may stand before a length.
fn is_harmless(line: &[u8]) -> bool {
    let line = line.trim_ascii();
    let name = b"content-type:";
    line.is_empty() || (line.len() >= name.len() && line[..name.len()].eq_ignore_ascii_case(name))
}

/// Reads a header that starts with its length.
fn header(bytes: &[u8]) -> Header {
    let mut length = None;
    let mut at = 0;
    loop {
        let within = &bytes[at..bytes.len().min(MAX_HEADER)];
        let Some(end) = within.iter().position(|b| *b == b'\n') else {
            return if bytes.len() < MAX_HEADER {
                Header::Partial
            } else {
                Header::Wrong
            };
        };
        let line = within[..end].trim_ascii();
        at += end + 1;
        if line.is_empty() {
            return length.map_or(Header::Wrong, |length| Header::Whole(at, length));
        }
        let Some((name, value)) = std::str::from_utf8(line)
            .ok()
            .and_then(|l| l.split_once(':'))
        else {
            return Header::Wrong;
        };
        if !name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-') {
            return Header::Wrong;
        }
        if name.eq_ignore_ascii_case("content-length") {
            match value.trim().parse() {
                Ok(value) if value <= MAX_BODY => length = Some(value),
                _ => return Header::Wrong,
            }
        }
    }
}

/// The header of so many bytes.
pub fn head(bytes: usize) -> String {
    format!("Content-Length: {bytes}\r\n\r\n")
}

/// A body with its header.
pub fn framed(body: &[u8]) -> Vec<u8> {
    let mut frame = head(body.len()).into_bytes();
    frame.extend_from_slice(body);
    frame
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// What a stream gives; a body that is no JSON is reread, as the front door does.
    fn read(pieces: &[&[u8]]) -> Vec<String> {
        let mut frames = Frames::default();
        let mut out = Vec::new();
        for piece in pieces {
            frames.feed(piece);
            while let Some(frame) = frames.take() {
                match frame {
                    Frame::Noise => out.push("noise".to_owned()),
                    Frame::Body(body) => {
                        out.push(String::from_utf8_lossy(&body).into_owned());
                        if serde_json::from_slice::<serde_json::Value>(&body).is_err() {
                            frames.reread();
                        }
                    }
                }
            }
        }
        out
    }

    fn read_all(stream: &str) -> Vec<String> {
        read(&[stream.as_bytes()])
    }

    const GOOD: &str = "Content-Length: 2\r\n\r\n{}";

    #[test]
    fn clean_frames() {
        assert_eq!(read_all(&GOOD.repeat(3)), ["{}", "{}", "{}"]);
        let typed = "Content-Type: application/vscode-jsonrpc; charset=utf-8\r\nContent-Length: 2\r\n\r\n{}";
        assert_eq!(read_all(&typed.repeat(2)), ["{}", "{}"]);
        let typed = "content-length: 2\r\nContent-Type: application/vscode-jsonrpc\r\n\r\n{}";
        assert_eq!(read_all(&typed.repeat(2)), ["{}", "{}"]);
    }

    #[test]
    fn reading_goes_on_at_the_next_header() {
        for bad in [
            "garbage",
            "garbage\r\n\r\n",
            "Content-Length: many\r\n\r\n",
            "Content-Length: -1\r\n\r\n[]",
            "Content-Length: 99999999999999999999999\r\n\r\n",
            "Content-Length: 68000000\r\n\r\n",
            "Content-Length: 2\r\n{}",
            "{\"a\":1}",
        ] {
            let stream = format!("{GOOD}{bad}{GOOD}{GOOD}");
            assert_eq!(
                read_all(&stream),
                ["{}", "noise", "{}", "{}"],
                "after {bad:?}"
            );
        }
    }

    #[test]
    fn a_wrong_length_costs_one_message() {
        let short = format!("Content-Length: 5\r\n\r\n{{\"a\": 1}}{GOOD}");
        assert_eq!(read_all(&short), ["{\"a\":", "{}"]);
        let long = format!("Content-Length: 20\r\n\r\n{{\"a\": 1}}{GOOD}{GOOD}");
        assert_eq!(read_all(&long), ["{\"a\": 1}Content-Leng", "{}", "{}"]);
        let empty = format!("Content-Length: 0\r\n\r\n{GOOD}");
        assert_eq!(read_all(&empty), ["", "{}"]);
    }

    #[test]
    fn endless_noise_is_not_kept() {
        let mut frames = Frames::default();
        let mut noise = 0;
        for _ in 0..1000 {
            frames.feed(&[b'x'; 1000]);
            while let Some(frame) = frames.take() {
                assert_eq!(frame, Frame::Noise);
                noise += 1;
            }
            assert!(frames.buffer.len() <= MAX_HEADER + 1000);
        }
        assert_eq!(noise, 1);
        let header = [b"Content-Length: ".as_slice(), &[b'1'; 9000]].concat();
        assert_eq!(read(&[&header, GOOD.as_bytes()]), ["noise", "{}"]);
    }

    proptest! {
        /// However the bytes arrive, the frames are the same.
        #[test]
        fn cuts_do_not_matter(size in 1usize..30) {
            let stream = format!("{GOOD}Content-Length: 20\r\n\r\n{{\"a\": 1}}{GOOD}xx\r\n{GOOD}Content-Type: a\r\n{GOOD}");
            let pieces: Vec<&[u8]> = stream.as_bytes().chunks(size).collect();
            prop_assert_eq!(read(&pieces), read_all(&stream));
        }

        #[test]
        fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
            read(&[&bytes, GOOD.as_bytes()]);
        }
    }
}
