//! What a caller shows a service elsewhere: a token, and what it trusts.

use std::{
    fs,
    io::{self, Read as _},
    path::{Path, PathBuf},
};

use clap::Args;
use tonic::{
    Request, Status,
    metadata::{Ascii, MetadataValue},
    service::Interceptor,
    transport::{Certificate, ClientTlsConfig, Identity},
};

use crate::fail::{Exit, Failure, Stop};

/// The most bytes that a file of a token or a certificate has.
const BYTES: u64 = 1 << 20;

/// How a service elsewhere is told who calls. A token never stands on the command line, where others see it.
#[derive(Debug, Clone, Default, Args)]
#[command(next_help_heading = "Calling a service elsewhere")]
pub struct Credentials {
    /// Read the token from this file; - reads it from standard input [env: BAYBOOK_TOKEN_FILE]
    #[arg(long, global = true, value_name = "FILE", env = "BAYBOOK_TOKEN_FILE", hide_env = true)]
    pub token_file: Option<PathBuf>,

    /// Trust the certificates in this file (PEM); needed for https:// [env: BAYBOOK_TRUST]
    #[arg(long, global = true, value_name = "FILE", env = "BAYBOOK_TRUST", hide_env = true)]
    pub trust: Option<PathBuf>,

    /// Show the service the certificate and key in this file (PEM) [env: BAYBOOK_IDENTITY]
    #[arg(long, global = true, value_name = "FILE", env = "BAYBOOK_IDENTITY", hide_env = true)]
    pub identity: Option<PathBuf>,
}

impl Credentials {
    /// Reads the token.
    pub fn bearer(&self) -> Result<Bearer, Stop> {
        let Some(path) = &self.token_file else { return Ok(Bearer::default()) };
        let text = if path.as_os_str() == "-" {
            let mut text = String::new();
            io::stdin().take(BYTES).read_to_string(&mut text).map_err(Stop::from)?;
            text
        } else {
            read(path)?
        };
        let header =
            MetadataValue::try_from(format!("Bearer {}", text.trim())).ok().filter(|_| !text.trim().is_empty());
        let mut header = header.ok_or_else(|| {
            Failure::usage("the token cannot be used")
                .at(format!("--token-file {}", path.display()), "it holds no single line of plain text")
                .next("write into it what baybook token issue printed, and nothing else")
        })?;
        header.set_sensitive(true);
        Ok(Bearer(Some(header)))
    }

    /// Reads what is trusted, and what is shown.
    pub fn tls(&self, url: &str) -> Result<ClientTlsConfig, Stop> {
        let Some(trust) = &self.trust else {
            let failure = Failure::usage("the service's certificate cannot be checked")
                .at(format!("--server {url}"), "https:// needs the certificates that are trusted")
                .next("--trust FILE, with the certificate of the service or of who signed it");
            return Err(failure.into());
        };
        let mut tls = ClientTlsConfig::new().ca_certificate(Certificate::from_pem(read(trust)?));
        if let Some(path) = &self.identity {
            let pem = read(path)?;
            tls = tls.identity(Identity::from_pem(pem.clone(), pem));
        }
        Ok(tls)
    }

    /// Refuses to send a token where it could be overheard.
    pub fn check_plain(&self, url: &str, host: &str) -> Result<(), Stop> {
        let near = host == "localhost"
            || host.trim_matches(['[', ']']).parse::<std::net::IpAddr>().is_ok_and(|ip| ip.is_loopback());
        if self.token_file.is_none() || near {
            return Ok(());
        }
        let failure = Failure::new(Exit::Denied, "the token is not sent over a connection that others can read")
            .at(format!("--server {url}"), "http:// to another machine")
            .next(format!("--server https://{host}:PORT --trust FILE"));
        Err(failure.into())
    }
}

fn read(path: &Path) -> Result<String, Stop> {
    let size = fs::metadata(path).map_err(|error| Failure::file("read", path, &error))?.len();
    if BYTES < size {
        let why = format!("it has {size} bytes; a token or a certificate has at most {BYTES}");
        return Err(Failure::usage("the file cannot be used")
            .at(path.display().to_string(), why)
            .next("another file")
            .into());
    }
    Ok(fs::read_to_string(path).map_err(|error| Failure::file("read", path, &error))?)
}

/// Puts the token on every call.
#[derive(Clone, Default)]
pub struct Bearer(Option<MetadataValue<Ascii>>);

impl Interceptor for Bearer {
    fn call(&mut self, mut request: Request<()>) -> Result<Request<()>, Status> {
        if let Some(header) = &self.0 {
            request.metadata_mut().insert("authorization", header.clone());
        }
        Ok(request)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_goes_over_plain_text_to_this_machine_only() {
        let with = Credentials { token_file: Some("t".into()), ..Credentials::default() };
        for near in ["127.0.0.1", "localhost", "[::1]", "::1"] {
            assert!(with.check_plain("url", near).is_ok(), "{near}");
        }
        for far in ["192.0.2.7", "book.example", "127.0.0.1.example", "[2001:db8::1]"] {
            assert!(with.check_plain("url", far).is_err(), "{far}");
            assert!(Credentials::default().check_plain("url", far).is_ok());
        }
    }

    #[test]
    fn a_file_holds_one_token() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("token");
        let with = Credentials { token_file: Some(path.clone()), ..Credentials::default() };
        fs::write(&path, "baybook-1\n").unwrap();
        assert!(with.bearer().is_ok());
        for bad in ["", " \n", "one\ntwo", "ü\u{7}"] {
            fs::write(&path, bad).unwrap();
            assert!(with.bearer().is_err(), "{bad:?}");
        }
    }
}
