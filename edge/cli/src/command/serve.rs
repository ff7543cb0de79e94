//! `witmark serve`: pages for the phone in the bay.

use std::path::PathBuf;

use app::bay::Bay;
use app::{Problem, Problems};
use clap::Args;

use crate::on_job::{Entering, made};
use crate::output::{Output, write_whole};
use crate::shell::Shell;

/// Port where none is named.
const USUAL_PORT: u16 = 8317;

#[derive(Debug, Args)]
pub(crate) struct Serve {
    #[command(flatten)]
    port: Port,
    #[command(flatten)]
    entering: Entering,
}

/// Where the pages can be reached.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct Port {
    /// Port of the pages on this machine; 0 takes a free one
    #[arg(long, value_name = "PORT", default_value_t = USUAL_PORT, allow_negative_numbers = true)]
    port: u16,
}

impl Serve {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let file = made(shell)?;
        // What is wrong with the store is told now and not on the first page.
        self.entering.bay_made(shell)?;
        serve(file, self.port, &self.entering)?;
        Ok(Output::Text(String::new()))
    }
}

/// Serves the pages of a store until it is interrupted.
pub(crate) fn serve(file: PathBuf, at: Port, entering: &Entering) -> Result<(), Problem> {
    let (who, language) = (entering.who.clone(), entering.language.lang.clone());
    let open = move || Ok(Bay::open(&file, &who)?.language(&language));
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|error| Problem::could_not("serve", error))?;
    let stop = async {
        // Without a signal to wait for it runs until it is ended from outside.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    let started = |address: std::net::SocketAddr| {
        let line = format!("http://{address}/ (end it with Ctrl+C)\n");
        // A page that nobody reads the address of is still served.
        let _ = write_whole(&mut std::io::stdout().lock(), &line);
    };
    runtime.block_on(web::serve(at.port, open, started, stop))
}
