//! The browser host: the window's screens on 127.0.0.1, for one browser on this machine. Never on a network.

mod gate;
mod pages;

use std::io::Write as _;
use std::net::Ipv4Addr;
use std::sync::Arc;
use std::time::Duration;

use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpListener;

use crate::clock::Clock;
use crate::place::{self, Door, Store};
use gate::Gate;
use pages::Host;

/// How long a browser may take to send the head of a request.
const PATIENCE: Duration = Duration::from_secs(10);

/// Serves until Ctrl-C. Prints one line: the link, whose token works once.
///
/// # Errors
/// A sentence, when the port is taken or the store has no place.
pub(crate) fn run(store: &Store, port: Option<u16>) -> Result<(), String> {
    let context = crate::window::context();
    let identifier = context.config().identifier.clone();
    let door = Door::open(store, Clock::Device, None, || place::usual(&identifier))?;
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|fault| format!("the browser host could not start: {fault}"))?;
    // Dropping the runtime waits for a request that is being answered, so nothing is cut short.
    runtime.block_on(serve(context, door, port))
}

async fn serve(context: tauri::Context, door: Door, port: Option<u16>) -> Result<(), String> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port.unwrap_or(0))).await;
    let listener = listener.map_err(|fault| match port {
        Some(port) => {
            format!("port {port} cannot be used: {fault}. Leave --port out to take a free one.")
        }
        None => format!("no port could be had: {fault}"),
    })?;
    let port = listener
        .local_addr()
        .map_err(|fault| fault.to_string())?
        .port();
    let gate = Gate::new(port)?;
    let link = gate.link().expect("nobody has used the token yet");
    // Whoever has read the link may ask to stop.
    let stop = crate::stop::asked();
    let mut out = std::io::stdout();
    writeln!(out, "{link}")
        .and_then(|()| out.flush())
        .map_err(|fault| fault.to_string())?;

    let host = Arc::new(Host::new(context, gate, door));
    let service = TowerToHyperService::new(pages::router(Arc::clone(&host)));
    let mut watch = tokio::time::interval(place::WATCH);
    watch.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Skip);
    let open = GracefulShutdown::new();
    tokio::pin!(stop);
    loop {
        tokio::select! {
            () = &mut stop => break,
            _ = watch.tick() => {
                let host = Arc::clone(&host);
                tokio::task::spawn_blocking(move || host.watch());
            }
            accepted = listener.accept() => {
                // A connection that failed before it began is the browser's to try again.
                let Ok((stream, _)) = accepted else { continue };
                let connection = hyper::server::conn::http1::Builder::new()
                    .timer(TokioTimer::new())
                    .header_read_timeout(PATIENCE)
                    .serve_connection(TokioIo::new(stream), service.clone());
                // A browser that hangs up in the middle is no fault of ours.
                tokio::spawn(open.watch(connection));
            }
        }
    }
    drop(listener);
    let _ = tokio::time::timeout(PATIENCE, open.shutdown()).await;
    Ok(())
}
