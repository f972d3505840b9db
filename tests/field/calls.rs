//! What the program answers, as text and as JSON.

use serde_json::Value;
use std::process::Output;

pub fn said(out: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr))
}

pub fn json(out: &Output) -> Value {
    assert_eq!(out.status.code(), Some(0), "{}", said(out));
    serde_json::from_slice(&out.stdout).unwrap()
}
