//! The output folder: written aside, renamed when complete, and never at the cost of anybody's files.
//!
//! Beside the folder asked for, `NAME`, stand while a run works `.NAME.partial-PID`, and for a moment
//! `.NAME.old-PID`. What a run that was killed left of them is cleared up by the next one.

use crate::report::error::ReportError;
use std::fs;
use std::path::{Path, PathBuf};

/// Held locked in a folder while it is written: what is not locked was left by a run that was killed.
const LOCK: &str = ".being-written";
/// Files that file browsers leave in any folder.
const CLUTTER: [&str; 3] = [".DS_Store", "Thumbs.db", "desktop.ini"];

/// A folder being written beside the one asked for.
pub struct Staging {
    named: PathBuf,
    target: PathBuf,
    aside: PathBuf,
    lock: Option<fs::File>,
}

impl Staging {
    /// Opens a folder beside `target`, before any long work if called early.
    ///
    /// # Errors
    /// [`ReportError::Foreign`] when `target` holds files that this program did not write;
    /// [`ReportError::Busy`] while another run writes there; [`ReportError::Write`] when nothing can be
    /// written.
    pub fn begin(target: &Path) -> Result<Staging, ReportError> {
        let (named, target) = (target.to_path_buf(), real(target)?);
        clear_up(&target)?;
        refuse_foreign(&target)?;
        let aside = beside(&target, "partial");
        fs::create_dir_all(&aside).map_err(|e| ReportError::write(&aside, e))?;
        let lock = fs::File::create(aside.join(LOCK)).map_err(|e| ReportError::write(&aside, e))?;
        // A file system without locks goes without: two runs at once are then told apart at the end.
        let _ = lock.lock();
        Ok(Staging { named, target, aside, lock: Some(lock) })
    }

    /// The folder asked for, as it was named.
    pub fn named(&self) -> &Path {
        &self.named
    }

    /// The folder as it stands while it is being written.
    pub fn aside(&self) -> &Path {
        &self.aside
    }

    /// Writes one file, making folders on the way.
    ///
    /// # Errors
    /// [`ReportError::Write`].
    pub fn write(&self, name: &str, bytes: &[u8]) -> Result<(), ReportError> {
        let path = self.aside.join(name);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(|e| ReportError::write(folder, e))?;
        }
        fs::write(&path, bytes).map_err(|e| ReportError::write(&path, e))
    }

    /// Gives the folder its name; an earlier result is replaced as a whole. Answers with the folder in which
    /// the earlier result was left where it could not be removed.
    ///
    /// # Errors
    /// [`ReportError::Kept`]: the earlier result is then still there, or put back, and the new one lies
    /// complete aside.
    pub fn finish(mut self) -> Result<Option<PathBuf>, ReportError> {
        self.lock = None;
        let _ = fs::remove_file(self.aside.join(LOCK));
        // From here on it is complete, and dropping this must not remove it.
        let (target, aside) = (std::mem::take(&mut self.target), std::mem::take(&mut self.aside));
        let kept = |e: std::io::Error| ReportError::Kept {
            path: target.display().to_string(),
            reason: e.to_string(),
            aside: aside.display().to_string(),
        };
        // Somebody may have put a file there while the run worked.
        refuse_foreign(&target).map_err(|e| kept(std::io::Error::other(e.to_string())))?;
        let old = beside(&target, "old");
        let had = target.exists();
        if had {
            fs::rename(&target, &old).map_err(kept)?;
        }
        if let Err(e) = fs::rename(&aside, &target) {
            if had {
                fs::rename(&old, &target).map_err(kept)?;
            }
            return Err(kept(e));
        }
        Ok((had && fs::remove_dir_all(&old).is_err()).then_some(old))
    }
}

impl Drop for Staging {
    fn drop(&mut self) {
        self.lock = None;
        // After `finish` there is no path and nothing to remove.
        if !self.aside.as_os_str().is_empty() {
            let _ = fs::remove_dir_all(&self.aside);
        }
    }
}

/// The folder itself: behind a link, and with a name where `.` or `x/..` has none.
fn real(target: &Path) -> Result<PathBuf, ReportError> {
    if target.exists() {
        return target.canonicalize().map_err(|e| ReportError::write(target, e));
    }
    if target.is_symlink() {
        let nothing = std::io::Error::other("it is a link to a folder that is not there; make that folder");
        return Err(ReportError::write(target, nothing));
    }
    Ok(target.to_path_buf())
}

fn name_of(target: &Path) -> String {
    target.file_name().map_or_else(|| "result".into(), |n| n.to_string_lossy().into_owned())
}

/// A name beside the folder that no other process uses.
fn beside(target: &Path, what: &str) -> PathBuf {
    parent_of(target).join(format!(".{}.{what}-{}", name_of(target), std::process::id()))
}

fn parent_of(target: &Path) -> PathBuf {
    match target.parent() {
        Some(p) if !p.as_os_str().is_empty() => p.to_path_buf(),
        _ => PathBuf::from("."),
    }
}

/// Puts back or removes what runs that were killed left beside the folder.
///
/// # Errors
/// [`ReportError::Busy`] when a run is still writing there.
fn clear_up(target: &Path) -> Result<(), ReportError> {
    // No folder to look in: nothing was left in it.
    let Ok(entries) = fs::read_dir(parent_of(target)) else { return Ok(()) };
    let name = name_of(target);
    let left = |entry: &Path, what: &str| {
        let of = entry.file_name().and_then(|n| n.to_str()?.strip_prefix(&format!(".{name}.{what}-")));
        of.is_some_and(|pid| !pid.is_empty() && pid.bytes().all(|b| b.is_ascii_digit())) && entry.is_dir()
    };
    for entry in entries.flatten().map(|e| e.path()) {
        if left(&entry, "partial") {
            if fs::File::open(entry.join(LOCK))
                .is_ok_and(|lock| matches!(lock.try_lock(), Err(fs::TryLockError::WouldBlock)))
            {
                return Err(ReportError::Busy { path: target.display().to_string() });
            }
            let _ = fs::remove_dir_all(&entry);
        } else if left(&entry, "old") {
            // Killed between the two renames: the last complete result takes its name again.
            if target.exists() || fs::rename(&entry, target).is_err() {
                let _ = fs::remove_dir_all(&entry);
            }
        }
    }
    Ok(())
}

/// Checks, before any work, that a folder may be written or replaced: it is empty, or a result of this
/// program with nothing else in it.
///
/// # Errors
/// [`ReportError::Foreign`], or [`ReportError::Write`] when it is not a folder or cannot be read.
pub(crate) fn refuse_foreign(target: &Path) -> Result<(), ReportError> {
    if !target.exists() {
        return Ok(());
    }
    let mut files = Vec::new();
    files_under(target, Path::new(""), &mut files).map_err(|e| ReportError::write(target, e))?;
    let ours = files_of_result(target);
    match files.into_iter().find(|f| !ours.contains(f)) {
        None => Ok(()),
        Some(file) => Err(ReportError::Foreign { path: target.display().to_string(), file }),
    }
}

/// Names of all files under a folder, with `/` between their parts; a link counts as a file.
fn files_under(folder: &Path, within: &Path, files: &mut Vec<String>) -> std::io::Result<()> {
    let mut entries = fs::read_dir(folder)?.collect::<Result<Vec<_>, _>>()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let name = within.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            files_under(&entry.path(), &name, files)?;
        } else if !CLUTTER.iter().any(|c| entry.file_name() == *c) {
            files.push(name.to_string_lossy().replace('\\', "/"));
        }
    }
    Ok(())
}

/// The files that a result lists as its own; none where the folder holds no result.
fn files_of_result(folder: &Path) -> Vec<String> {
    let manifest = fs::read(folder.join("manifest.json")).ok();
    let manifest = manifest.and_then(|b| serde_json::from_slice::<serde_json::Value>(&b).ok());
    let Some(manifest) = manifest.filter(|m| m["program"] == "pignut") else { return Vec::new() };
    let outputs = manifest["outputs"].as_array().into_iter().flatten();
    let names = outputs.filter_map(|o| o["name"].as_str().map(str::to_string));
    names.chain([LOCK.to_string(), "manifest.json".to_string()]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn result(target: &Path, text: &str) -> Result<Option<PathBuf>, ReportError> {
        let s = Staging::begin(target)?;
        s.write("a/b.txt", text.as_bytes())?;
        s.write("manifest.json", br#"{"program": "pignut", "outputs": [{"name": "a/b.txt"}]}"#)?;
        s.finish()
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut files = Vec::new();
        files_under(folder, Path::new(""), &mut files).unwrap();
        files
    }

    #[test]
    fn replaces_only_its_own_and_never_in_part() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("out");
        let s = Staging::begin(&target).unwrap();
        assert!(!target.exists());
        drop(s);
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0, "nothing is left aside");
        assert_eq!(result(&target, "1").unwrap(), None);
        let s = Staging::begin(&target).unwrap();
        s.write("a/b.txt", b"2").unwrap();
        drop(s);
        assert_eq!(fs::read(target.join("a/b.txt")).unwrap(), b"1");
        assert_eq!(result(&target, "3").unwrap(), None);
        assert_eq!(fs::read(target.join("a/b.txt")).unwrap(), b"3");
        assert_eq!(names(dir.path()), ["out/a/b.txt", "out/manifest.json"]);
        fs::remove_file(target.join("manifest.json")).unwrap();
        assert!(matches!(Staging::begin(&target), Err(ReportError::Foreign { .. })));
    }

    /// Whoever keeps the records beside the result must not lose them with it, whenever they were put there.
    #[test]
    fn a_file_of_somebody_else_in_the_result_is_named_and_kept() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("out");
        result(&target, "1").unwrap();
        fs::write(target.join(".DS_Store"), "clutter").unwrap();
        assert!(refuse_foreign(&target).is_ok());
        let late = Staging::begin(&target).unwrap();
        late.write("manifest.json", b"{}").unwrap();
        fs::write(target.join("a/pigs.csv"), "mine").unwrap();
        let said = late.finish().unwrap_err().to_string();
        assert!(said.contains("a/pigs.csv") && said.contains("the new result is complete in"), "{said}");
        let said = result(&target, "2").unwrap_err().to_string();
        assert!(said.contains("holds a/pigs.csv, which this program did not write"), "{said}");
        assert_eq!(fs::read(target.join("a/pigs.csv")).unwrap(), b"mine");
        assert_eq!(fs::read(target.join("a/b.txt")).unwrap(), b"1");
    }

    #[test]
    fn what_a_killed_run_left_is_cleared_up_and_a_running_one_is_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("out");
        let put = |name: &str| {
            fs::create_dir_all(dir.path().join(name)).unwrap();
            fs::write(dir.path().join(name).join("k"), "k").unwrap();
        };
        // Killed while it wrote, and while it replaced.
        put(".out.partial-1");
        put(".out.partial-1-of-mine");
        result(&target, "1").unwrap();
        fs::rename(&target, dir.path().join(".out.old-2")).unwrap();
        let s = Staging::begin(&target).unwrap();
        assert_eq!(fs::read(target.join("a/b.txt")).unwrap(), b"1", "the last complete result is back");
        assert!(!dir.path().join(".out.partial-1").exists());
        let said = result(&target, "2").unwrap_err().to_string();
        assert!(said.contains("another run is writing"), "{said}");
        drop(s);
        put(".out.old-3");
        result(&target, "2").unwrap();
        assert_eq!(names(dir.path()), [".out.partial-1-of-mine/k", "out/a/b.txt", "out/manifest.json"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_followed() {
        let dir = tempfile::tempdir().unwrap();
        let (target, link) = (dir.path().join("out"), dir.path().join("link"));
        result(&target, "1").unwrap();
        std::os::unix::fs::symlink(&target, &link).unwrap();
        result(&link, "2").unwrap();
        assert!(link.is_symlink());
        assert_eq!(fs::read(target.join("a/b.txt")).unwrap(), b"2");
        fs::remove_dir_all(&target).unwrap();
        let said = result(&link, "3").unwrap_err().to_string();
        assert!(said.contains("link to a folder that is not there"), "{said}");
    }
}
