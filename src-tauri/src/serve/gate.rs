//! Who may come in to the browser host: this machine's browser, once it has shown the link's token.
//!
//! The link's token works once and is exchanged for a cookie. `Host` must name this very address, so that a page
//! elsewhere cannot reach it under a name of its own, and `Origin`, where a browser sends one, must be the same.

use std::sync::{Mutex, PoisonError};

use axum::http::{HeaderMap, header};

/// What may pass, for one run of the host.
pub(crate) struct Gate {
    port: u16,
    token: Mutex<Option<String>>,
    session: String,
}

impl Gate {
    /// A gate for this port with a new token and a new session.
    ///
    /// # Errors
    /// A sentence, when the system gives no random bytes.
    pub(crate) fn new(port: u16) -> Result<Self, String> {
        Ok(Self {
            port,
            token: Mutex::new(Some(secret()?)),
            session: secret()?,
        })
    }

    /// The link to print; `None` once its token was used.
    pub(crate) fn link(&self) -> Option<String> {
        let token = self.token.lock().unwrap_or_else(PoisonError::into_inner);
        token
            .as_ref()
            .map(|token| format!("http://127.0.0.1:{}/?t={token}", self.port))
    }

    /// Whether the request was meant for this host and comes from a page of this host, or from no page.
    pub(crate) fn is_ours(&self, headers: &HeaderMap) -> bool {
        let mut hosts = headers.get_all(header::HOST).iter();
        let (Some(host), None) = (hosts.next(), hosts.next()) else {
            return false;
        };
        let names = [
            format!("127.0.0.1:{}", self.port),
            format!("localhost:{}", self.port),
        ];
        let Some(name) = names.iter().find(|name| host.as_bytes() == name.as_bytes()) else {
            return false;
        };
        let origin = format!("http://{name}");
        headers
            .get_all(header::ORIGIN)
            .iter()
            .all(|sent| sent.as_bytes() == origin.as_bytes())
    }

    /// Whether the request carries this run's cookie.
    pub(crate) fn knows(&self, headers: &HeaderMap) -> bool {
        let wanted = self.cookie();
        headers
            .get_all(header::COOKIE)
            .iter()
            .filter_map(|line| line.to_str().ok())
            .flat_map(|line| line.split(';'))
            .any(|pair| same(pair.trim(), &wanted))
    }

    /// Takes the link's token; the header that sets the cookie when it was the right one, for the first time.
    pub(crate) fn exchange(&self, offered: &str) -> Option<String> {
        let mut token = self.token.lock().unwrap_or_else(PoisonError::into_inner);
        token.take_if(|token| same(token, offered))?;
        Some(format!(
            "{}; Path=/; HttpOnly; SameSite=Strict",
            self.cookie()
        ))
    }

    /// Cookies are shared between the ports of one address, so the port is in the name.
    fn cookie(&self) -> String {
        format!("fallow-{}={}", self.port, self.session)
    }
}

/// 32 random bytes in hexadecimal.
fn secret() -> Result<String, String> {
    let mut bytes = [0_u8; 32];
    getrandom::fill(&mut bytes).map_err(|fault| format!("no random bytes: {fault}"))?;
    let digit = |nibble: u8| char::from_digit(nibble.into(), 16).expect("half a byte is one digit");
    Ok(bytes
        .iter()
        .flat_map(|byte| [digit(byte >> 4), digit(byte & 15)])
        .collect())
}

/// Compares without stopping at the first difference, so that time tells nothing about a secret.
fn same(left: &str, right: &str) -> bool {
    let difference = left
        .bytes()
        .zip(right.bytes())
        .fold(0, |seen, (a, b)| seen | (a ^ b));
    left.len() == right.len() && difference == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(lines: &[(header::HeaderName, &str)]) -> HeaderMap {
        lines
            .iter()
            .map(|(name, value)| (name.clone(), value.parse().unwrap()))
            .collect()
    }

    #[test]
    fn host_and_origin() {
        let gate = Gate::new(8080).unwrap();
        let check = |host: &str, origin: Option<&str>, expected: bool| {
            let mut found = headers(&[(header::HOST, host)]);
            if let Some(origin) = origin {
                found.insert(header::ORIGIN, origin.parse().unwrap());
            }
            assert_eq!(gate.is_ours(&found), expected, "{host} {origin:?}");
        };
        check("127.0.0.1:8080", None, true);
        check("localhost:8080", None, true);
        check("127.0.0.1:8080", Some("http://127.0.0.1:8080"), true);
        check("127.0.0.1", None, false);
        check("127.0.0.1:8081", None, false);
        check("rebound.example:8080", None, false);
        check("127.0.0.1:8080", Some("http://rebound.example:8080"), false);
        check("127.0.0.1:8080", Some("https://127.0.0.1:8080"), false);
        check("127.0.0.1:8080", Some("http://localhost:8080"), false);
        check("127.0.0.1:8080", Some("null"), false);
        assert!(!gate.is_ours(&HeaderMap::new()), "no Host");
    }

    #[test]
    fn a_token_works_once_and_only_the_right_one() {
        let gate = Gate::new(8080).unwrap();
        let link = gate.link().unwrap();
        let token = link.strip_prefix("http://127.0.0.1:8080/?t=").unwrap();
        assert_eq!(token.len(), 64);
        assert_eq!(gate.exchange(""), None);
        assert_eq!(gate.exchange(&token[1..]), None);
        assert_eq!(gate.exchange(&"0".repeat(64)), None);
        let cookie = gate.exchange(token).unwrap();
        assert!(cookie.ends_with("HttpOnly; SameSite=Strict"), "{cookie}");
        assert_eq!(gate.exchange(token), None);
        assert_eq!(gate.link(), None);

        let pair = cookie.split(';').next().unwrap();
        assert!(gate.knows(&headers(&[(header::COOKIE, &format!("other=1; {pair}"))])));
        assert!(!gate.knows(&headers(&[(header::COOKIE, &format!("{pair}0"))])));
        assert!(!gate.knows(&headers(&[(
            header::COOKIE,
            &format!("fallow-8080={token}")
        )])));
        assert!(!gate.knows(&HeaderMap::new()));
    }
}
