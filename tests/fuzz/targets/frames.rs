//! A stream of bytes, cut in two places: its frames are the same as at one go, each a piece of it, and reading comes to an end.
#![no_main]

#[path = "../pieces.rs"]
mod pieces;

use glimloom::server::frames::{Frame, Frames};
use libfuzzer_sys::fuzz_target;

const PIECES: [&str; 16] = [
    "Content-Length: ",
    "Content-Length: 2\r\n\r\n{}",
    "Content-Length: 20\r\n\r\n",
    "content-length:",
    "Content-Type: a\r\n",
    "Content-",
    "\r\n",
    "\r\n\r\n",
    "\n\n",
    "{}",
    "0",
    "67108864",
    "67108865",
    "99999999999999999999",
    "-1",
    "é",
];

/// The frames of a stream that comes in these pieces. A body that is none, as an odd one is here, is read once more.
fn read<'a>(pieces: impl Iterator<Item = &'a [u8]>, most: usize) -> Vec<Frame> {
    let mut frames = Frames::default();
    let mut all = Vec::new();
    for piece in pieces {
        frames.feed(piece);
        while let Some(frame) = frames.take() {
            if let Frame::Body(body) = &frame
                && body.len() % 2 == 1
            {
                frames.reread();
            }
            all.push(frame);
            assert!(all.len() <= most);
        }
    }
    all
}

fuzz_target!(|bytes: &[u8]| {
    let [one, other, bytes @ ..] = bytes else {
        return;
    };
    let stream = pieces::pieced(bytes, &PIECES).into_bytes();
    let most = stream.len();
    let whole = read(std::iter::once(&*stream), most);
    let [one, other] = [one, other].map(|cut| usize::from(*cut).min(most));
    let (first, rest) = stream.split_at(one.min(other));
    let (second, third) = rest.split_at(one.max(other) - first.len());
    let pieces = [first, second, third];
    assert_eq!(read(pieces.into_iter(), most), whole);
    for frame in &whole {
        if let Frame::Body(body) = frame {
            let is_there = body.is_empty() || stream.windows(body.len()).any(|piece| piece == body);
            assert!(is_there);
        }
    }
});
