//! The server: it listens, bounds connections, and ends when it is no longer used.

use std::convert::Infallible;
use std::net::{Ipv4Addr, TcpListener};
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::TcpStream;
use tokio::sync::Semaphore;
use tokio::time::timeout;

use crate::guard::Guard;
use crate::limits::Limits;
use crate::route::State;
use crate::secret::Secret;
use crate::site::{Answers, Site};

/// Why a page cannot be served. The texts continue "failed to serve the page: …".
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// No port of this machine could be listened on, or listening ended.
    #[error("the system gives no port on 127.0.0.1: {0}")]
    Port(#[from] std::io::Error),
    /// The system has no source of randomness for the secret.
    #[error("the system gives no random numbers: {0}")]
    Randomness(#[from] getrandom::Error),
}

/// A page on the loopback interface of this machine, on a port that was free.
pub struct Server<A> {
    listener: TcpListener,
    state: Arc<State<A>>,
}

/// Bytes that the head of a request may have.
const HEAD_BYTES: usize = 16 << 10;

impl<A: Answers> Server<A> {
    /// Takes a port and a secret. Connections wait until [`Server::run`].
    ///
    /// # Errors
    /// The system gives no port or no randomness.
    pub fn bind(site: Site<A>, limits: Limits) -> Result<Self, ServeError> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
        listener.set_nonblocking(true)?;
        let guard = Guard::new(listener.local_addr()?.port(), Secret::new()?);
        Ok(Self { listener, state: Arc::new(State::new(guard, limits, site)) })
    }

    /// The address of the page, with its secret.
    pub fn address(&self) -> String {
        self.state.guard.address()
    }

    /// Serves until the page was quiet for as long as the limits say. What was typed is gone then.
    ///
    /// # Errors
    /// The system takes the port away.
    pub fn run(self) -> Result<(), ServeError> {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
        let done = runtime.block_on(serve(self.listener, self.state));
        // Whatever is still computed is for nobody.
        runtime.shutdown_background();
        done
    }
}

async fn serve<A: Answers>(listener: TcpListener, state: Arc<State<A>>) -> Result<(), ServeError> {
    let listener = tokio::net::TcpListener::from_std(listener)?;
    let connections = Arc::new(Semaphore::new(state.limits.connections));
    let explorer = Arc::clone(&state);
    tokio::spawn(async move { explorer.explorer().await });
    loop {
        let left = state.limits.quiet.saturating_sub(state.quiet());
        if left.is_zero() {
            return Ok(());
        }
        let next = async {
            let permit = Arc::clone(&connections).acquire_owned().await.expect("it is never closed");
            (permit, listener.accept().await)
        };
        match timeout(left, next).await {
            Err(_) => {}
            Ok((permit, Ok((stream, _)))) => {
                let state = Arc::clone(&state);
                tokio::spawn(async move {
                    connection(stream, state).await;
                    drop(permit);
                });
            }
            // A connection that broke before it was taken, or no more files: neither lasts.
            Ok((_, Err(_))) => tokio::time::sleep(Duration::from_millis(20)).await,
        }
    }
}

async fn connection<A: Answers>(stream: TcpStream, state: Arc<State<A>>) {
    let limits = state.limits;
    let service = service_fn(move |request| {
        let state = Arc::clone(&state);
        async move { Ok::<_, Infallible>(state.handle(request).await) }
    });
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(limits.head).max_buf_size(HEAD_BYTES);
    let mut served = pin!(http.serve_connection(TokioIo::new(stream), service));
    // What went wrong with a connection is between it and whoever made it.
    if timeout(limits.connection, served.as_mut()).await.is_err() {
        served.as_mut().graceful_shutdown();
        let _ = timeout(limits.connection, served).await;
    }
}
