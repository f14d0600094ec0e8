//! What the browser host answers: the screens' files, the door, and a page that says why not.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, Method, StatusCode, Uri};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use tauri::utils::mime_type::MimeType;

use super::gate::Gate;
use crate::place::Door;

/// The longest request.
const LONGEST_BODY: usize = 1024 * 1024;
/// How long a browser may take to send it.
const PATIENCE: Duration = Duration::from_secs(10);

/// Everything one run of the host needs to answer.
pub(crate) struct Host {
    context: tauri::Context,
    gate: Gate,
    door: Door,
    policy: HeaderValue,
}

impl Host {
    pub(crate) fn new(context: tauri::Context, gate: Gate, door: Door) -> Self {
        // The window's policy, without the window's way to the door.
        let csp = context.config().app.security.csp.as_ref();
        let csp = csp.expect("tauri.conf.json has a policy").to_string();
        let policy = csp.replace(
            "connect-src 'self' ipc: http://ipc.localhost",
            "connect-src 'self'",
        );
        let policy = HeaderValue::from_str(&policy).expect("the policy is plain text");
        Self {
            context,
            gate,
            door,
            policy,
        }
    }

    /// Locks the record when it is time to.
    pub(crate) fn watch(&self) {
        self.door.watch();
    }
}

/// The whole host as one service.
pub(crate) fn router(host: Arc<Host>) -> Router {
    Router::new()
        .route("/door", post(door))
        .fallback(get(file))
        .layer(middleware::from_fn_with_state(Arc::clone(&host), guard))
        .with_state(host)
}

/// Refuses strangers before anything else is looked at, and puts the same headers on every answer.
async fn guard(State(host): State<Arc<Host>>, request: Request, next: Next) -> Response {
    let reads = request.method() == Method::GET;
    let mut response = if !host.gate.is_ours(request.headers()) {
        refuse(
            reads,
            "This address is not the one in the link. Open the link that `fallow serve` printed.",
        )
    } else if let Some(token) = token_of(&request) {
        enter(&host, token, request.headers())
    } else if !host.gate.knows(request.headers()) {
        refuse(
            reads,
            "Open the link that `fallow serve` printed. It works once, in one browser; \
             for a new one, stop `fallow serve` with Ctrl-C and start it again.",
        )
    } else {
        next.run(request).await
    };
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_SECURITY_POLICY, host.policy.clone());
    for (name, value) in [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

/// The token of a request for the link itself.
fn token_of(request: &Request) -> Option<&str> {
    let uri = request.uri();
    (request.method() == Method::GET && uri.path() == "/")
        .then(|| {
            uri.query()?
                .split('&')
                .find_map(|pair| pair.strip_prefix("t="))
        })
        .flatten()
}

/// Exchanges the token for the cookie. A link followed twice in the same browser just leads in.
fn enter(host: &Host, token: &str, headers: &HeaderMap) -> Response {
    let home = (header::LOCATION, HeaderValue::from_static("/"));
    if let Some(cookie) = host.gate.exchange(token) {
        let cookie = HeaderValue::from_str(&cookie).expect("hexadecimal and plain words");
        (StatusCode::SEE_OTHER, [home, (header::SET_COOKIE, cookie)]).into_response()
    } else if host.gate.knows(headers) {
        (StatusCode::SEE_OTHER, [home]).into_response()
    } else {
        refuse(
            true,
            "This link was already used, or it is from an earlier run. Stop `fallow serve` with Ctrl-C, \
             start it again and open the new link.",
        )
    }
}

/// A file of the screens, or the first screen for `/`.
async fn file(State(host): State<Arc<Host>>, uri: Uri) -> Response {
    let path = if uri.path() == "/" {
        "/index.html"
    } else {
        uri.path()
    };
    match host.context.assets().get(&path.into()) {
        Some(content) => {
            let kind = MimeType::parse_with_fallback(&content, path, MimeType::OctetStream);
            (
                [(header::CONTENT_TYPE, kind)],
                Bytes::from(content.into_owned()),
            )
                .into_response()
        }
        None => (StatusCode::NOT_FOUND, "There is no such page.\n").into_response(),
    }
}

/// The door: one JSON request in, one JSON reply out.
async fn door(State(host): State<Arc<Host>>, headers: HeaderMap, body: Body) -> Response {
    // A form on another page cannot send this type without asking first.
    let kind = headers
        .get(header::CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok());
    let kind = kind.and_then(|kind| kind.split(';').next()).map(str::trim);
    if !kind.is_some_and(|kind| kind.eq_ignore_ascii_case("application/json")) {
        return plain(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "A request is application/json.\n",
        );
    }
    let body = match tokio::time::timeout(PATIENCE, to_bytes(body, LONGEST_BODY)).await {
        Ok(Ok(body)) => body,
        Ok(Err(_)) => {
            return plain(
                StatusCode::PAYLOAD_TOO_LARGE,
                "A request is at most 1 MiB.\n",
            );
        }
        Err(_) => {
            return plain(
                StatusCode::REQUEST_TIMEOUT,
                "The request did not arrive in time.\n",
            );
        }
    };
    let Ok(request) = String::from_utf8(body.into()) else {
        return plain(StatusCode::BAD_REQUEST, "A request is UTF-8 text.\n");
    };
    // Answering reads and writes files, which must not hold up the connection beside it.
    match tokio::task::spawn_blocking(move || host.door.answer(&request)).await {
        Ok(reply) => ([(header::CONTENT_TYPE, "application/json")], reply).into_response(),
        Err(_) => plain(
            StatusCode::INTERNAL_SERVER_ERROR,
            "The request could not be answered.\n",
        ),
    }
}

fn plain(status: StatusCode, words: &'static str) -> Response {
    (status, words).into_response()
}

/// Says no, on a page to a person and in plain words to a program.
fn refuse(to_a_person: bool, words: &'static str) -> Response {
    if !to_a_person {
        return plain(StatusCode::FORBIDDEN, words);
    }
    let page = format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>Fallow</title>\
         <h1>Fallow is not open here</h1><p>{words}</p></html>\n"
    );
    let kind = (header::CONTENT_TYPE, "text/html; charset=utf-8");
    (StatusCode::FORBIDDEN, [kind], page).into_response()
}
