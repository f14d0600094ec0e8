//! Waiting for the word to stop: Ctrl-C, or the system's polite request to end.

/// Listens from the call on, not only from the first wait, so that a request that comes at once is not lost. Ready once
/// the program has been asked to stop.
///
/// # Panics
/// Outside a Tokio runtime.
pub(crate) fn asked() -> impl Future<Output = ()> {
    #[cfg(unix)]
    let (interrupt, terminate) = {
        use tokio::signal::unix::{SignalKind, signal};
        let listen = |kind| {
            let stream = signal(kind);
            async move {
                match stream {
                    Ok(mut stream) => {
                        stream.recv().await;
                    }
                    Err(_) => std::future::pending().await,
                }
            }
        };
        (
            listen(SignalKind::interrupt()),
            listen(SignalKind::terminate()),
        )
    };
    #[cfg(not(unix))]
    let (interrupt, terminate) = (
        async {
            if tokio::signal::ctrl_c().await.is_err() {
                std::future::pending::<()>().await;
            }
        },
        std::future::pending::<()>(),
    );
    async move {
        tokio::select! {
            () = interrupt => {}
            () = terminate => {}
        }
    }
}
