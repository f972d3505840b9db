//! Colours and pipes.

use super::calls::clean;
use crate::common::program::{PROGRAM, pignut, text};
use std::process::{Command, Output, Stdio};

/// no-color.org: set and not empty, colour is off; with clicolors' `CLICOLOR_FORCE` it is on even in a pipe.
#[test]
fn no_color_wins_over_forced_colour() {
    let escape = |out: &Output| out.stderr.contains(&0x1b) || out.stdout.contains(&0x1b);
    for args in [&["--help"][..], &["chek"], &["check", &clean()]] {
        let plain = pignut().args(args).env("CLICOLOR_FORCE", "1").env("NO_COLOR", "1").output().unwrap();
        assert!(!escape(&plain), "{args:?}");
    }
    let forced = pignut().arg("chek").env("CLICOLOR_FORCE", "1").output().unwrap();
    assert!(escape(&forced), "colour can be had at all");
}

#[test]
fn a_closed_pipe_is_no_error() {
    for args in [&["check", &clean()][..], &["schema"], &["--help"]] {
        let mut child =
            Command::new(PROGRAM).args(args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        // Closed before a byte is read: every write meets a broken pipe.
        drop(child.stdout.take());
        let out = child.wait_with_output().unwrap();
        assert_eq!(out.status.code(), Some(0), "{args:?}");
        assert_eq!(text(&out.stderr), "", "{args:?}");
    }
}

#[cfg(unix)]
#[test]
fn check_into_head_is_no_error() {
    let line = format!("set -o pipefail; '{PROGRAM}' check '{}' | head -1", clean());
    let out = Command::new("bash").args(["-c", &line]).output().unwrap();
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    assert_eq!(text(&out.stdout), "Six at sea, analysis date 2021-06-30\n");
    assert_eq!(text(&out.stderr), "");
}
