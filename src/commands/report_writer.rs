//! The parts of a report put together in order: written as they come, or kept until the frame around them is known.

use std::io::{self, BufRead as _, BufReader, Read as _, Seek as _, Write};

use tempfile::SpooledTempFile;

use crate::report::{List, Part, Piece, ReportForm, Totals, pieces};

/// So much of a list is kept in memory; more goes to a temporary file without a name, which is gone when the run is.
const IN_MEMORY: usize = 1 << 20;
/// So much is read from a temporary file at once.
const AT_ONCE: usize = 1 << 16;

/// What a report is printed to.
pub type Printed = dyn Write + Send + Sync;

/// One report of a run.
pub(super) struct ReportWriter<'o> {
    form: Box<dyn ReportForm>,
    totals: Totals,
    problems: SpooledTempFile,
    designs: SpooledTempFile,
    /// Where the designs go as they come.
    direct: Option<&'o mut Printed>,
    /// The first entity that could not be written.
    failure: Option<io::Error>,
}

/// A list before so many bytes more are put to it: in a temporary file where it gets large. Where no such file can be made, memory has to do.
fn with_room(list: &mut SpooledTempFile, more: usize) -> &mut SpooledTempFile {
    let kept = list.stream_position().ok().and_then(|at| usize::try_from(at).ok()).unwrap_or(0);
    if !list.is_rolled() && kept + more > IN_MEMORY {
        // On failure the list stays as it is.
        let _ = list.roll();
    }
    list
}

impl<'o> ReportWriter<'o> {
    /// A report of a form, of which nothing is written before its end.
    pub(super) fn new(form: Box<dyn ReportForm>) -> Self {
        let spool = || tempfile::spooled_tempfile(usize::MAX);
        let totals = Totals::default();
        Self { form, totals, problems: spool(), designs: spool(), direct: None, failure: None }
    }

    /// Writes its designs as they come, if its form lets it; else gives back where they would go.
    pub(super) fn onto(&mut self, out: &'o mut Printed) -> Option<&'o mut Printed> {
        if !self.form.streams() {
            return Some(out);
        }
        // A frame that streams says the same up to the designs, whatever comes.
        let frame = self.form.frame(Totals { designs: 1, ..self.totals });
        for piece in pieces(&frame) {
            match piece {
                Piece::Text(text) if self.failure.is_none() => {
                    self.failure = out.write_all(text.as_bytes()).err();
                }
                Piece::Parts(List::Designs) => break,
                _ => {}
            }
        }
        self.direct = Some(out);
        None
    }

    /// Its form, which makes the parts.
    pub(super) fn form(&self) -> &dyn ReportForm {
        &*self.form
    }

    /// Puts the next part at the end of its list.
    pub(super) fn put(&mut self, list: List, part: Part) {
        let text = self.form.take(list, part);
        let (count, written) = match list {
            List::Problems => (&mut self.totals.problems, &mut self.totals.problems_written),
            List::Designs => (&mut self.totals.designs, &mut self.totals.designs_written),
        };
        *count += 1;
        if text.is_empty() || self.failure.is_some() {
            return;
        }
        let separator = if std::mem::replace(written, true) { self.form.separator() } else { "" };
        let out: &mut dyn Write = match (list, &mut self.direct) {
            (List::Problems, _) => with_room(&mut self.problems, text.len()),
            (List::Designs, Some(out)) => *out,
            (List::Designs, None) => with_room(&mut self.designs, text.len()),
        };
        let outcome = out.write_all(separator.as_bytes()).and_then(|()| out.write_all(text.as_bytes()));
        self.failure = outcome.err();
    }

    /// Writes the report, or what of it is not written yet.
    ///
    /// # Errors
    /// The first entity that could not be written or kept.
    pub(super) fn finish_directly(mut self) -> io::Result<()> {
        match self.direct.take() {
            Some(out) => self.write(out, true),
            None => Ok(()),
        }
    }

    /// Writes the whole report.
    ///
    /// # Errors
    /// As for [`Self::finish_directly`].
    pub(super) fn finish(mut self, out: &mut dyn Write) -> io::Result<()> {
        self.write(out, false)
    }

    fn write(&mut self, out: &mut dyn Write, begun: bool) -> io::Result<()> {
        if let Some(failure) = self.failure.take() {
            return Err(failure);
        }
        let frame = self.form.frame(self.totals);
        let pieces = pieces(&frame).into_iter();
        let left = pieces.skip_while(|piece| begun && *piece != Piece::Parts(List::Designs));
        for piece in left {
            let spool = match piece {
                Piece::Text(text) => {
                    out.write_all(text.as_bytes())?;
                    continue;
                }
                Piece::Parts(List::Designs) if begun => continue,
                Piece::Parts(List::Problems) => &mut self.problems,
                Piece::Parts(List::Designs) => &mut self.designs,
            };
            spool.rewind()?;
            let mut kept = BufReader::with_capacity(AT_ONCE, spool);
            if self.form.has_marks() {
                unmarked(&mut kept, &*self.form, out)?;
            } else {
                io::copy(&mut kept, out)?;
            }
        }
        out.flush()
    }
}

/// Writes parts with what stands for their marks.
fn unmarked(
    kept: &mut BufReader<&mut SpooledTempFile>,
    form: &dyn ReportForm,
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut stretch = Vec::new();
    let mut is_mark = false;
    while kept.by_ref().read_until(1, &mut stretch)? > 0 {
        if stretch.last() == Some(&1) {
            stretch.pop();
        }
        if is_mark {
            let mark = String::from_utf8_lossy(&stretch);
            out.write_all(form.at_mark(&mark).unwrap_or_default().as_bytes())?;
        } else {
            out.write_all(&stretch)?;
        }
        stretch.clear();
        is_mark = !is_mark;
    }
    Ok(())
}
