//! Who gets an answer at all.

use hyper::header::{HOST, HeaderMap, ORIGIN};
use hyper::{Method, StatusCode, Uri};

use crate::secret::Secret;

/// Why a request gets no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Barred {
    /// It names another host: a name that someone points to this machine.
    Host,
    /// It does not know the secret.
    Secret,
    /// It comes from the page of another site.
    Origin,
}

impl Barred {
    /// What is answered. Who does not know the secret learns nothing but that there is nothing.
    pub fn told(self) -> (StatusCode, &'static str) {
        match self {
            Self::Host => (StatusCode::MISDIRECTED_REQUEST, "use the address that was printed, with its number"),
            Self::Secret => (StatusCode::NOT_FOUND, "there is nothing here; use the whole address that was printed"),
            Self::Origin => (StatusCode::FORBIDDEN, "another site may not ask"),
        }
    }
}

/// The address of a server and its secret.
#[derive(Debug)]
pub(crate) struct Guard {
    host: String,
    origin: String,
    secret: Secret,
}

impl Guard {
    pub fn new(port: u16, secret: Secret) -> Self {
        let host = format!("127.0.0.1:{port}");
        Self { origin: format!("http://{host}"), host, secret }
    }

    pub fn address(&self) -> String {
        format!("{}/{}/", self.origin, self.secret.as_str())
    }

    /// The path below the secret, if the request may have an answer.
    ///
    /// # Definition
    /// The host is named once and is this address. The first part of the path is the secret. Where an origin is named it
    /// is this one, and a request that changes anything names it. Where the browser says which site asks
    /// (`Sec-Fetch-Site`), it is this one, or, for looking, no site but the person.
    ///
    /// # Source
    /// RFC 9110, sections 7.2 and 15.5.20; RFC 6454, section 7; Fetch Metadata Request Headers, W3C, section 2.3: from memory.
    pub fn admit<'u>(&self, method: &Method, uri: &'u Uri, headers: &HeaderMap) -> Result<&'u str, Barred> {
        let only = |name: &str| {
            let mut all = headers.get_all(name).iter();
            (all.next(), all.next().is_none())
        };
        let named = |value: &hyper::header::HeaderValue, wanted: &str| value.as_bytes() == wanted.as_bytes();
        let (host, one) = only(HOST.as_str());
        let authority = uri.authority().is_none_or(|authority| authority.as_str() == self.host);
        if !(one && authority && host.is_some_and(|host| named(host, &self.host))) {
            return Err(Barred::Host);
        }
        let path = uri.path().strip_prefix('/').unwrap_or_default();
        let (guess, below) = path.split_once('/').ok_or(Barred::Secret)?;
        if !self.secret.is(guess) {
            return Err(Barred::Secret);
        }
        let looks = method == Method::GET;
        let (origin, one) = only(ORIGIN.as_str());
        let (site, one_site) = only("sec-fetch-site");
        let from_here = origin.map_or(looks, |origin| named(origin, &self.origin));
        let no_other = site.is_none_or(|site| named(site, "same-origin") || looks && named(site, "none"));
        if one && one_site && from_here && no_other { Ok(below) } else { Err(Barred::Origin) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn admit(method: Method, path: &str, headers: &[(&'static str, &str)]) -> Result<String, Barred> {
        let guard = Guard::new(4321, Secret::new().unwrap());
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.append(*name, value.parse().unwrap());
        }
        let uri: Uri = path.replace("SECRET", guard.secret.as_str()).parse().unwrap();
        guard.admit(&method, &uri, &map).map(str::to_owned)
    }

    const HERE: (&str, &str) = ("host", "127.0.0.1:4321");
    const OWN: (&str, &str) = ("origin", "http://127.0.0.1:4321");

    #[test]
    fn the_page_itself_is_let_in() {
        assert_eq!(admit(Method::GET, "/SECRET/", &[HERE]), Ok(String::new()));
        assert_eq!(admit(Method::GET, "/SECRET/page.js", &[HERE, ("sec-fetch-site", "none")]), Ok("page.js".into()));
        let same = ("sec-fetch-site", "same-origin");
        assert_eq!(admit(Method::POST, "/SECRET/work/1", &[HERE, OWN, same]), Ok("work/1".into()));
    }

    #[test]
    fn everybody_else_is_kept_out() {
        let get = |path: &str, headers: &[(&'static str, &str)]| admit(Method::GET, path, headers).unwrap_err();
        let post = |headers: &[(&'static str, &str)]| admit(Method::POST, "/SECRET/work", headers).unwrap_err();
        for host in ["localhost:4321", "127.0.0.1", "127.0.0.1:4322", "evil.example:4321", "[::1]:4321", ""] {
            assert_eq!(get("/SECRET/", &[("host", host)]), Barred::Host, "{host}");
        }
        assert_eq!(get("/SECRET/", &[]), Barred::Host);
        assert_eq!(get("/SECRET/", &[HERE, ("host", "evil.example")]), Barred::Host);
        assert_eq!(get("http://evil.example/SECRET/", &[HERE]), Barred::Host);
        for path in ["/", "/SECRET", "/guess/", "//SECRET/", "/secret/", "/%53ECRET/"] {
            assert_eq!(get(path, &[HERE]), Barred::Secret, "{path}");
        }
        for origin in ["null", "http://evil.example", "http://localhost:4321", "https://127.0.0.1:4321"] {
            assert_eq!(get("/SECRET/", &[HERE, ("origin", origin)]), Barred::Origin, "{origin}");
            assert_eq!(post(&[HERE, ("origin", origin)]), Barred::Origin, "{origin}");
        }
        assert_eq!(post(&[HERE]), Barred::Origin, "a change names its origin");
        assert_eq!(post(&[HERE, OWN, OWN]), Barred::Origin);
        for site in ["cross-site", "same-site", "odd"] {
            assert_eq!(get("/SECRET/", &[HERE, ("sec-fetch-site", site)]), Barred::Origin, "{site}");
        }
        assert_eq!(post(&[HERE, OWN, ("sec-fetch-site", "none")]), Barred::Origin);
    }
}
