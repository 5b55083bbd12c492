//! The command as a user meets it, its pages in a browser, and the notebooks.

mod browser;
mod commands;
mod common;
mod export;
mod figures_in_browser;
mod in_r;
mod letters;
mod logs;
mod notebooks;
mod one_person;
mod page_in_browser;
mod page_in_browser_layout;
mod readme;
mod results;
mod screens;
mod snapshots;
mod try_in_browser;
