//! The output folder: written aside, renamed when complete.

use super::ReportError;
use std::fs;
use std::path::{Path, PathBuf};

/// A folder being written beside the one asked for.
pub struct Staging {
    target: PathBuf,
    aside: PathBuf,
}

impl Staging {
    /// Opens a folder beside `target`, before any long work if called early.
    ///
    /// # Errors
    /// [`ReportError::Foreign`] when `target` holds files but no manifest of ours;
    /// [`ReportError::Write`] when nothing can be written there.
    pub fn begin(target: &Path) -> Result<Staging, ReportError> {
        refuse_foreign(target)?;
        // `.` or `x/..` have no name to give: their real path does.
        let target = &if target.file_name().is_none() {
            target.canonicalize().map_err(|e| ReportError::write(target, e))?
        } else {
            target.to_path_buf()
        };
        let name = target.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_else(|| "result".into());
        let parent = parent_of(target);
        let aside = parent.join(format!(".{name}.partial-{}", std::process::id()));
        if aside.exists() {
            fs::remove_dir_all(&aside).map_err(|e| ReportError::write(&aside, e))?;
        }
        fs::create_dir_all(&aside).map_err(|e| ReportError::write(&aside, e))?;
        Ok(Staging { target: target.to_path_buf(), aside })
    }

    /// The folder asked for.
    pub fn target(&self) -> &Path {
        &self.target
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

    /// Gives the folder its name; an earlier result is replaced as a whole.
    ///
    /// # Errors
    /// [`ReportError::Write`]; the earlier result is then still there, or put back.
    pub fn finish(self) -> Result<(), ReportError> {
        let old = self.aside.with_extension("old");
        let had = self.target.exists();
        if had {
            fs::rename(&self.target, &old).map_err(|e| ReportError::write(&self.target, e))?;
        }
        if let Err(e) = fs::rename(&self.aside, &self.target) {
            if had {
                fs::rename(&old, &self.target).map_err(|e| ReportError::write(&self.target, e))?;
            }
            return Err(ReportError::write(&self.target, e));
        }
        if had {
            fs::remove_dir_all(&old).map_err(|e| ReportError::write(&old, e))?;
        }
        Ok(())
    }
}

impl Drop for Staging {
    fn drop(&mut self) {
        // After `finish` the folder has moved and there is nothing to remove.
        if self.aside.exists() {
            let _ = fs::remove_dir_all(&self.aside);
        }
    }
}

fn parent_of(target: &Path) -> PathBuf {
    match target.parent() {
        Some(p) if !p.as_os_str().is_empty() => p.to_path_buf(),
        _ => PathBuf::from("."),
    }
}

/// Checks, before any work, that a folder may be written or replaced.
///
/// # Errors
/// [`ReportError::Foreign`], or [`ReportError::Write`] when it is not a folder or cannot be read.
pub fn refuse_foreign(target: &Path) -> Result<(), ReportError> {
    if !target.exists() {
        return Ok(());
    }
    let mut entries = fs::read_dir(target).map_err(|e| ReportError::write(target, e))?;
    let ours = fs::read_to_string(target.join("manifest.json")).is_ok_and(|t| t.contains("\"program\": \"pignut\""));
    if entries.next().is_some() && !ours {
        return Err(ReportError::Foreign { path: target.display().to_string() });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn replaces_only_its_own_and_never_in_part() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("out");
        let ours = b"{\"program\": \"pignut\"}";
        let s = Staging::begin(&target).unwrap();
        s.write("a/b.txt", b"1").unwrap();
        s.write("manifest.json", ours).unwrap();
        assert!(!target.exists());
        s.finish().unwrap();
        assert_eq!(fs::read(target.join("a/b.txt")).unwrap(), b"1");
        let s = Staging::begin(&target).unwrap();
        s.write("a/b.txt", b"2").unwrap();
        drop(s);
        assert_eq!(fs::read(target.join("a/b.txt")).unwrap(), b"1");
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "nothing is left aside");
        fs::remove_file(target.join("manifest.json")).unwrap();
        assert!(matches!(Staging::begin(&target), Err(ReportError::Foreign { .. })));
    }
}
