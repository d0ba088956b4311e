//! Standard input and output are shared with whoever started us, and may be set not to wait: reading where nothing is yet, or
//! writing where there is no room, fails at once then. Here both wait all the same.

use std::io::{ErrorKind, IoSlice, Read, Result, Write};
use std::os::fd::AsFd;

use rustix::event::{PollFd, PollFlags, poll};

/// Waits where `T` does not.
pub struct Patient<T>(pub T);

impl<T: AsFd> Patient<T> {
    /// Does `work` when it can be done.
    fn when_it_can<R>(
        &mut self,
        how: PollFlags,
        mut work: impl FnMut(&mut T) -> Result<R>,
    ) -> Result<R> {
        loop {
            match work(&mut self.0) {
                Err(error) if error.kind() == ErrorKind::WouldBlock => {
                    poll(&mut [PollFd::new(&self.0, how)], None)?;
                }
                done => return done,
            }
        }
    }
}

impl<T: Read + AsFd> Read for Patient<T> {
    fn read(&mut self, bytes: &mut [u8]) -> Result<usize> {
        self.when_it_can(PollFlags::IN, |from| from.read(bytes))
    }
}

impl<T: Write + AsFd> Write for Patient<T> {
    fn write(&mut self, bytes: &[u8]) -> Result<usize> {
        self.when_it_can(PollFlags::OUT, |to| to.write(bytes))
    }

    fn write_vectored(&mut self, pieces: &[IoSlice]) -> Result<usize> {
        self.when_it_can(PollFlags::OUT, |to| to.write_vectored(pieces))
    }

    fn flush(&mut self) -> Result<()> {
        self.when_it_can(PollFlags::OUT, Write::flush)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rustix::io::ioctl_fionbio;

    #[test]
    fn pieces_are_written_in_one_go() {
        let (mut from, to) = std::io::pipe().unwrap();
        let pieces = [IoSlice::new(b"head "), IoSlice::new(b"body")];
        assert_eq!(Patient(to).write_vectored(&pieces).unwrap(), 9);
        let mut read = String::new();
        from.read_to_string(&mut read).unwrap();
        assert_eq!(read, "head body");
    }

    #[test]
    fn what_does_not_wait_is_waited_for() {
        let (from, to) = std::io::pipe().unwrap();
        ioctl_fionbio(&from, true).unwrap();
        ioctl_fionbio(&to, true).unwrap();
        let sent: Vec<u8> = (0..1_000_000u32).map(|n| (n % 251) as u8).collect();
        let (from, mut to) = (Patient(from), Patient(to));
        let expected = sent.clone();
        let reader = std::thread::spawn(move || {
            let (mut from, mut read) = (from, Vec::new());
            from.read_to_end(&mut read).unwrap();
            assert!(read == expected);
        });
        to.write_all(&sent).unwrap();
        to.flush().unwrap();
        drop(to);
        reader.join().unwrap();
    }
}
