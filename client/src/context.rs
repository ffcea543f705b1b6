//! What every subcommand is given: the output, and the service, reached when it is first needed.

use std::time::Duration;

use baybook_proto::v1::{
    calculator_service_client::CalculatorServiceClient, spec_book_service_client::SpecBookServiceClient,
    steward_service_client::StewardServiceClient, upfits_service_client::UpfitsServiceClient,
};
use clap::Args;
use tonic::Request;

use crate::{
    connect::{Connection, Line, Purpose, Where},
    credentials::Credentials,
    fail::Stop,
    out::{Format, Out},
    people::Units,
    read,
    retry::HasRequestId,
};

/// Options that every subcommand takes.
#[derive(Debug, Args)]
#[command(next_help_heading = "Everywhere")]
pub struct Options {
    /// Write data as this
    #[arg(long, global = true, value_name = "FORMAT", default_value = "table")]
    pub format: Format,

    /// Show people these units; data on the wire and in JSON and CSV is always in SI [env: BAYBOOK_UNITS]
    #[arg(long, global = true, value_name = "UNITS", env = "BAYBOOK_UNITS", hide_env = true, default_value = "both")]
    pub units: Units,

    /// Give up on a call after this time: 500ms, 30s, 2m
    #[arg(long, global = true, value_name = "TIME", value_parser = read::time, default_value = "30s")]
    pub deadline: Duration,

    /// Print without colour, as with NO_COLOR set
    #[arg(long, global = true)]
    pub no_color: bool,

    #[command(flatten)]
    pub place: Where,

    #[command(flatten)]
    pub credentials: Credentials,
}

/// What a subcommand works with.
pub struct Context {
    /// Where its data goes.
    pub out: Out,
    options: Options,
    connection: Option<Connection>,
}

impl Context {
    /// Starts without a connection.
    pub fn new(options: Options) -> Self {
        Self { out: Out::new(options.format, options.units, options.no_color), options, connection: None }
    }

    /// Returns which book is meant.
    pub const fn place(&self) -> &Where {
        &self.options.place
    }

    /// Lets a service in this process put backups into a folder of the caller's choice.
    pub fn put_backups_into(&mut self, folder: std::path::PathBuf) {
        self.options.place.backups = Some(folder);
    }

    /// Returns whether colour was declined.
    pub const fn no_color(&self) -> bool {
        self.options.no_color
    }

    /// Returns how long a call may take.
    pub const fn deadline(&self) -> Duration {
        self.options.deadline
    }

    /// Wraps a message with the deadline.
    pub fn call<T>(&self, message: T) -> Request<T> {
        let mut request = Request::new(message);
        request.set_timeout(self.options.deadline);
        request
    }

    /// Wraps a change with the deadline; with a request id it may be asked again when it is lost on the way.
    pub fn change<T>(&self, message: T, request_id: &str) -> Request<T> {
        let mut request = self.call(message);
        if !request_id.is_empty() {
            request.extensions_mut().insert(HasRequestId);
        }
        request
    }

    /// Returns the connection to the service, which is reached or started on the first call.
    pub async fn connection(&mut self, purpose: Purpose) -> Result<&Connection, Stop> {
        let connection = match self.connection.take() {
            Some(connection) => connection,
            None => {
                let Options { place, credentials, deadline, .. } = &self.options;
                Connection::open(place, credentials, purpose, *deadline).await?
            }
        };
        Ok(self.connection.insert(connection))
    }

    /// Returns the channel to the service.
    pub async fn channel(&mut self, purpose: Purpose) -> Result<Line, Stop> {
        Ok(self.connection(purpose).await?.channel())
    }

    /// Returns the calculators.
    pub async fn calculator(&mut self) -> Result<CalculatorServiceClient<Line>, Stop> {
        Ok(CalculatorServiceClient::new(self.channel(Purpose::Read).await?))
    }

    /// Returns the book, to read it.
    pub async fn book(&mut self) -> Result<SpecBookServiceClient<Line>, Stop> {
        Ok(SpecBookServiceClient::new(self.channel(Purpose::Read).await?))
    }

    /// Returns the book, to write in it; a data folder is made if there is none.
    pub async fn book_to_write(&mut self) -> Result<SpecBookServiceClient<Line>, Stop> {
        Ok(SpecBookServiceClient::new(self.channel(Purpose::Write).await?))
    }

    /// Returns the rule book and the checks.
    pub async fn upfits(&mut self) -> Result<UpfitsServiceClient<Line>, Stop> {
        Ok(UpfitsServiceClient::new(self.channel(Purpose::Read).await?))
    }

    /// Returns the steward.
    pub async fn steward(&mut self) -> Result<StewardServiceClient<Line>, Stop> {
        self.steward_for(Purpose::Read).await
    }

    /// Returns the steward; to change something, a data folder is made if there is none.
    pub async fn steward_for(&mut self, purpose: Purpose) -> Result<StewardServiceClient<Line>, Stop> {
        Ok(StewardServiceClient::new(self.channel(purpose).await?))
    }

    /// Brings all output out, then ends a service of our own in an orderly way.
    pub async fn close(&mut self) -> Result<(), Stop> {
        let finished = self.out.finish();
        if let Some(connection) = self.connection.take() {
            connection.close().await?;
        }
        finished
    }
}
