//! Result folders and logs on disk, and the analyses behind them at any number of threads.

mod experiments;
mod logs;
mod sensitivity;
mod sweep;
