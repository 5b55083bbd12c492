//! The server as strangers and as its own page meet it, over plain sockets.

mod hostile;
mod page;
mod talk;
