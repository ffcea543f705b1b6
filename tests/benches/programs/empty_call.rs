//! The floor of the command line: an empty clap program that makes one empty call and prints nothing.

use baybook_proto::v1::{ServerInfoRequest, steward_service_client::StewardServiceClient};
use clap::Parser;

/// Make one empty call
#[derive(Parser)]
struct Arguments {
    /// The server
    #[arg(long)]
    server: String,
}

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments = Arguments::parse();
    let channel = tonic::transport::Endpoint::from_shared(arguments.server)?.connect().await?;
    StewardServiceClient::new(channel).server_info(ServerInfoRequest {}).await?;
    Ok(())
}
