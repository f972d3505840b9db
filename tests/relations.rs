//! Relations that must hold between answers, and their counterparts: inputs that must matter.

mod attribution;
mod calibration;
mod freedom;
mod funnel;
mod invariance;
mod one_unknown;
mod starts;
mod threads;
