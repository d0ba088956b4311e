//! The protocol's methods. Each request takes a snapshot before anything else and is computed beside the protocol;
//! each notification changes the session at once, without waiting for anything. Texts that are opened or edited do not
//! come here, but to [`super::texts`].

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use tokio::sync::{Notify, watch};
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::*;
use tower_lsp::{Client, LanguageServer};

use super::actions;
use super::capabilities::{self, offered};
use super::colours;
use super::completion;
use super::compute::compute;
use super::configure::{Configure, watch_settings};
use super::convert;
use super::drawings;
use super::hints;
use super::in_parts;
use super::keys::{key_of, path_of};
use super::layout;
use super::lenses;
use super::log::Log;
use super::navigate;
use super::orphan::is_alive;
use super::papers;
use super::plans::{Here, Patience};
use super::progress::{Progress, Work};
use super::publisher::AT_ONCE;
use super::pull;
use super::ready::Ready;
use super::renames;
use super::session::{Session, Snapshot};
use super::settings::{self, Settings};
use super::supply_load::{self, About, Loads};
use super::suspects;
use super::tokens::{self, Tokens};
use crate::parts::Stop;
use crate::text::{Document, Encoding};

/// The server behind the protocol.
pub struct Backend {
    client: Client,
    session: Arc<Session>,
    /// Where handlers put what is to be logged.
    pub log: Log,
    configure: Configure,
    /// Told when the client has to ask for findings again.
    pub refresh: Arc<Notify>,
    progress: Progress,
    tokens: Arc<Tokens>,
    /// The process that is to be watched, once the client has said which.
    process: watch::Sender<Option<u32>>,
}

impl Backend {
    /// A server that speaks to `client`.
    pub fn new(
        client: Client,
        process: watch::Sender<Option<u32>>,
        session: Arc<Session>,
        progress: Progress,
    ) -> Backend {
        let log = Log::to(client.clone());
        log.hear_panics();
        Backend {
            tokens: Arc::default(),
            configure: Configure::new(client.clone(), session.clone(), log.clone()),
            refresh: refresher(client.clone(), session.clone()),
            progress,
            client,
            session,
            log,
            process,
        }
    }

    /// A file as it stands, where it takes no time to know: what is asked about it may be answered where messages are read.
    fn at_once(&self, uri: &Url) -> Option<Here> {
        let started = Instant::now();
        let patience = Patience {
            stop: &|| false,
            short: Some(&|| started.elapsed() < AT_ONCE),
        };
        self.session.snapshot().here_with(uri, &patience)
    }

    /// Answers a question about one file.
    async fn ask<T: Send + 'static>(
        &self,
        uri: Url,
        answer: impl FnOnce(&Here, Stop) -> Option<T> + Send + 'static,
    ) -> Result<Option<T>> {
        let snapshot = self.session.snapshot();
        compute(move |stop| {
            let stop = || stop.is_set();
            answer(&snapshot.here(&uri, &stop)?, &stop)
        })
        .await
    }

    /// Answers a question about all plans. The user may stop the work.
    async fn ask_all<T: Send + 'static>(
        &self,
        mut work: Work,
        answer: impl FnOnce(&Arc<Snapshot>, &mut Work, Stop) -> Option<T> + Send + 'static,
    ) -> Result<Option<T>> {
        let snapshot = self.session.snapshot();
        let cancelled = work.stopped();
        let is_cancelled = work.stopped();
        let _awaited = work.awaited();
        let answer = compute(move |stop| {
            let stop = || stop.is_set() || cancelled();
            answer(&snapshot, &mut work, &stop)
        });
        let answer = answer.await?;
        match is_cancelled() {
            true => Err(Error::request_cancelled()),
            false => Ok(answer),
        }
    }

    /// Work on all plans, which the client shows where it can.
    fn work(&self, title: &'static str, params: WorkDoneProgressParams) -> Work {
        let may_create = self.session.snapshot().world.client.shows_progress;
        self.progress
            .begin(title, params.work_done_token, may_create)
    }

    /// Answers a question about an item of the tree of the power.
    async fn ask_tree<T: Send + 'static>(
        &self,
        item: CallHierarchyItem,
        answer: impl FnOnce(&Here, &str) -> T + Send + 'static,
    ) -> Result<Option<T>> {
        let snapshot = self.session.snapshot();
        compute(move |stop| {
            let (here, name) = navigate::tree_place(&snapshot, &item, &|| stop.is_set())?;
            Some(answer(&here, &name))
        })
        .await
    }

    /// Answers a question about the text of one file alone, without waiting for its plan to be worked out.
    async fn ask_text<T: Send + 'static>(
        &self,
        uri: Url,
        answer: impl FnOnce(&Document, Encoding) -> Option<T> + Send + 'static,
    ) -> Result<Option<T>> {
        let snapshot = self.session.snapshot();
        compute(move |_| {
            let world = &snapshot.world;
            let open = world.documents.get(&key_of(&uri))?;
            answer(&open.document, world.client.encoding)
        })
        .await
    }

    /// The user stopped work that the client shows the progress of.
    pub async fn cancel(&self, params: WorkDoneProgressCancelParams) {
        self.progress.cancel(&params.token);
    }

    /// `textDocument/diagnostic`, where it takes time ([`pull::at_once`]).
    pub async fn findings(&self, params: DocumentDiagnosticParams) -> Result<Ready> {
        let (session, refresh) = (self.session.clone(), self.refresh.clone());
        let snapshot = session.snapshot();
        let report = compute(move |stop| {
            pull::document(&session, &snapshot, &refresh, &params, &|| stop.is_set())
        });
        report.await?.ok_or_else(Error::request_cancelled)
    }

    /// [`supply_load::METHOD`].
    pub async fn load(&self, params: About) -> Result<Option<Loads>> {
        let (uri, at) = (params.text_document.uri, params.position);
        self.ask(uri, move |here, stop| supply_load::of(here, at, stop))
            .await
    }

    /// `textDocument/documentSymbol`.
    pub async fn outline(&self, params: DocumentSymbolParams) -> Result<Ready> {
        let outline = self.ask(params.text_document.uri, |here, _| {
            convert::symbols(here, in_parts::outline(here))
        });
        Ok(outline.await?.unwrap_or_else(|| Ready::of(&())))
    }

    /// `glimloom/sheet`: the bench sheet of the text as it is, and where its items stand. `null` for what is no plan.
    pub async fn sheet(&self, about: papers::About) -> Result<Option<papers::Sheet>> {
        let uri = about.text_document.uri;
        self.ask(uri, |here, _| Some(papers::of_text(here))).await
    }

    /// A command that opens a paper: in a browser, in the editor, or by saying where it is.
    async fn open_paper(
        &self,
        uri: Url,
        paper: papers::Paper,
    ) -> Result<Option<serde_json::Value>> {
        let made = self.ask(uri, move |here, _| Some(papers::made(here, paper)));
        match made.await? {
            Some(made) => self.show_paper(made, paper.word(), paper.is_for_browsers()),
            None => Ok(None),
        }
    }

    /// `glimloom/suspects`: what may be wrong where lights are dark or dim. `null` for what is no plan.
    pub async fn suspects(&self, about: suspects::About) -> Result<Option<suspects::Told>> {
        let suspects::About {
            text_document,
            seen,
        } = about;
        let told = self.ask(text_document.uri, move |here, stop| {
            suspects::answer(here, seen, stop)
        });
        let told = told.await?.transpose();
        told.map_err(|wrong| Error::invalid_params(wrong.join(" ")))
    }

    /// The command that opens them.
    async fn open_suspects(
        &self,
        uri: Url,
        seen: suspects::SeenThere,
    ) -> Result<Option<serde_json::Value>> {
        let told = self.ask(uri, move |here, stop| {
            let told = suspects::answer(here, seen, stop)?;
            Some(told.map(|told| papers::kept(here, "suspects.md", &told.markdown)))
        });
        match told.await? {
            None => Ok(None),
            Some(Err(wrong)) => Err(Error::invalid_params(wrong.join(" "))),
            Some(Ok(made)) => self.show_paper(made, "list of suspects", false),
        }
    }

    /// Shows a paper that was made: in a browser, in the editor, or by saying where it is.
    fn show_paper(
        &self,
        made: std::io::Result<Url>,
        word: &'static str,
        in_browser: bool,
    ) -> Result<Option<serde_json::Value>> {
        let place = made.map_err(|e| {
            let mut error = Error::internal_error();
            error.message = format!("The {word} cannot be written: {e}.").into();
            error
        })?;
        let shows = self.session.snapshot().world.client.shows_places;
        let (client, uri) = (self.client.clone(), place.clone());
        // In a task of its own: a request to the client must outlive whatever asked for it.
        tokio::spawn(async move {
            let show = ShowDocumentParams {
                uri: uri.clone(),
                external: Some(in_browser),
                take_focus: Some(true),
                selection: None,
            };
            let is_shown = shows && client.show_document(show).await.unwrap_or(false);
            if !is_shown {
                let text = format!("The {word} is in {}.", path_or_address(&uri));
                client.show_message(MessageType::INFO, text).await;
            }
        });
        Ok(Some(serde_json::json!({"uri": place})))
    }

    /// [`actions::COMMAND`]: the client is sent the edits of an action.
    async fn make_edits(&self, action: CodeAction) -> Result<Option<serde_json::Value>> {
        let edit = self.code_action_resolve(action).await?.edit;
        let edit = edit.filter(|edit| *edit != WorkspaceEdit::default());
        let client = self.client.clone();
        // In a task of its own: a request to the client must outlive whatever asked for it.
        tokio::spawn(async move {
            let Some(edit) = edit else {
                let text = "There is nothing to be changed.";
                return client.show_message(MessageType::INFO, text).await;
            };
            let made = client.apply_edit(edit).await;
            if !made.is_ok_and(|made| made.applied) {
                let text = "The editor did not make the edits.";
                client.show_message(MessageType::WARNING, text).await;
            }
        });
        Ok(None)
    }

    /// `glimloom/drawing`: the drawing of the text as it is. `null` for what is no plan.
    pub async fn drawing(&self, about: drawings::About) -> Result<Ready> {
        let uri = about.text_document.uri.clone();
        let drawing = self.ask(uri, move |here, _| Some(drawings::answer(here, &about)));
        drawing.await?.unwrap_or_else(|| Ok(Ready::of(&())))
    }

    /// `textDocument/semanticTokens/full`.
    pub async fn tokens(&self, params: SemanticTokensParams) -> Result<Ready> {
        let (snapshot, tokens) = (self.session.snapshot(), self.tokens.clone());
        let uri = params.text_document.uri;
        let all = compute(move |stop| {
            let all = tokens.full(&snapshot, &uri, &|| stop.is_set())?;
            Ok(all.map_or_else(|| Ready::of(&()), |all| all.written()))
        });
        all.await?
    }
}

/// Asks the client to ask for findings again, whenever it is told to; of several tellings while the client has not
/// answered, once. One that cannot be asked is left alone.
fn refresher(client: Client, session: Arc<Session>) -> Arc<Notify> {
    let is_able = move || session.snapshot().world.client.refreshes_findings;
    let refresh = Arc::new(Notify::new());
    let told = refresh.clone();
    tokio::spawn(async move {
        loop {
            told.notified().await;
            if is_able() {
                let _ = client.workspace_diagnostic_refresh().await;
            }
        }
    });
    refresh
}

impl Drop for Backend {
    fn drop(&mut self) {
        self.session.end();
    }
}

fn paths<'a>(uris: impl IntoIterator<Item = &'a Url>) -> Vec<PathBuf> {
    let keys = uris.into_iter().map(key_of);
    keys.filter_map(|key| path_of(&key).map(Into::into))
        .collect()
}

#[allow(deprecated)] // Older clients give their one folder by `rootUri` or `rootPath`.
fn folders(params: &InitializeParams) -> Vec<PathBuf> {
    if let Some(folders) = params
        .workspace_folders
        .as_ref()
        .filter(|folders| !folders.is_empty())
    {
        return paths(folders.iter().map(|folder| &folder.uri));
    }
    if let Some(uri) = &params.root_uri {
        return paths([uri]);
    }
    let path = params.root_path.as_ref().map(PathBuf::from);
    path.into_iter().filter(|path| path.is_absolute()).collect()
}

#[tower_lsp::async_trait]
impl LanguageServer for Backend {
    async fn initialize(&self, params: InitializeParams) -> Result<InitializeResult> {
        let client = capabilities::Client::of(&params.capabilities);
        let capabilities = offered(&client);
        let (settings, wrong) = Settings::at_start(params.initialization_options.as_ref());
        self.session.begin(client, settings, folders(&params));
        wrong.into_iter().for_each(|line| self.log.warn(line));
        let process = params.process_id.filter(|process| is_alive(*process));
        self.process.send_replace(process);
        Ok(InitializeResult {
            capabilities,
            server_info: Some(ServerInfo {
                name: env!("CARGO_PKG_NAME").to_owned(),
                version: Some(env!("CARGO_PKG_VERSION").to_owned()),
            }),
        })
    }

    async fn initialized(&self, _: InitializedParams) {
        let can = self.session.snapshot().world.client.clone();
        let files = can.watched_files.then(watch_files);
        let wanted: Vec<_> = files
            .into_iter()
            .chain(can.tells_settings.then(watch_settings))
            .collect();
        if !wanted.is_empty() {
            let client = self.client.clone();
            // In a task of its own: a request to the client must outlive whatever asked for it.
            tokio::spawn(async move {
                let _ = client.register_capability(wanted).await;
            });
        }
        if can.asks_settings {
            self.configure.ask();
        }
    }

    async fn did_change_configuration(&self, params: DidChangeConfigurationParams) {
        if self.session.snapshot().world.client.asks_settings {
            self.configure.ask();
        } else if let Some(section) = settings::section_of(&params.settings) {
            self.configure.take(section);
        }
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }

    async fn did_close(&self, params: DidCloseTextDocumentParams) {
        let uri = params.text_document.uri;
        if !self.session.close(&uri) {
            self.log.warn(format!("{uri} was closed but is not open."));
        }
    }

    async fn did_save(&self, _: DidSaveTextDocumentParams) {
        self.session.forget_disk();
        // What another open file shows may hang on this one. That is looked at when it is saved, not at each keystroke. A
        // client that watches no files is to look at them now.
        let world = &self.session.snapshot().world;
        let looks = !world.client.watched_files;
        if world.client.pulls && looks {
            self.refresh.notify_one();
        }
        let others = looks || world.documents.len() > 1;
        self.configure.refresh(others, others);
    }

    async fn did_change_watched_files(&self, params: DidChangeWatchedFilesParams) {
        self.session.forget_disk();
        // What is said of plans that nobody has open may be another, and what is shown of those that use them.
        let world = &self.session.snapshot().world;
        let is_closed = |change: &FileEvent| !world.documents.contains_key(&key_of(&change.uri));
        let elsewhere = params.changes.iter().any(is_closed);
        if world.client.pulls && elsewhere {
            self.refresh.notify_one();
        }
        self.configure.refresh(elsewhere, elsewhere);
    }

    async fn did_change_workspace_folders(&self, params: DidChangeWorkspaceFoldersParams) {
        let added = paths(params.event.added.iter().map(|folder| &folder.uri));
        let removed = paths(params.event.removed.iter().map(|folder| &folder.uri));
        self.session.change_folders(added, &removed);
    }

    async fn workspace_diagnostic(
        &self,
        params: WorkspaceDiagnosticParams,
    ) -> Result<WorkspaceDiagnosticReportResult> {
        let token = params.work_done_progress_params.work_done_token;
        // Clients ask again and again: progress that nobody asked for would flicker.
        let work = self.progress.begin("Looking at all plans", token, false);
        let pieces = params.partial_result_params.partial_result_token;
        let told = work.told();
        let items = self.ask_all(work, move |snapshot, work, stop| {
            let mut items = Vec::new();
            let known = params.previous_result_ids;
            let done = pull::workspace(snapshot, known, work, stop, &mut |some| match &pieces {
                Some(token) => told.piece(token, &serde_json::json!({"items": some})),
                None => items.extend(some),
            });
            done.then_some(items)
        });
        let items = items.await?.ok_or_else(Error::request_cancelled)?;
        Ok(WorkspaceDiagnosticReport { items }.into())
    }

    async fn hover(&self, params: HoverParams) -> Result<Option<Hover>> {
        let at = params.text_document_position_params;
        if let Some(here) = self.at_once(&at.text_document.uri)
            && let Some(hover) = in_parts::hover_at_once(&here, here.offset(at.position))
        {
            return Ok(hover.map(|hover| convert::hover(&here, hover)));
        }
        self.ask(at.text_document.uri, move |here, _| {
            let offset = here.offset(at.position);
            Some(convert::hover(here, in_parts::hover(here, offset)?))
        })
        .await
    }

    async fn completion(&self, params: CompletionParams) -> Result<Option<CompletionResponse>> {
        let at = params.text_document_position;
        let uri = at.text_document.uri;
        if let Some(here) = self.at_once(&uri) {
            let offset = here.offset(at.position);
            if let Some(offers) = in_parts::completion_at_once(&here, offset) {
                return Ok(Some(completion::list(&here, &uri, offers, offset)));
            }
        }
        self.ask(uri.clone(), move |here, _| {
            let offset = here.offset(at.position);
            let paths = completion::paths(here, offset);
            let offers = paths.or_else(|| in_parts::completion(here, offset))?;
            Some(completion::list(here, &uri, offers, offset))
        })
        .await
    }

    async fn completion_resolve(&self, mut item: CompletionItem) -> Result<CompletionItem> {
        let Some((uri, about)) = completion::question(item.data.as_ref()) else {
            return Ok(item);
        };
        let said = self.ask(uri, move |here, stop| {
            let text = in_parts::about(here, &about, stop)?;
            let client = &here.snapshot.world.client;
            Some(completion::documentation(client, text))
        });
        item.documentation = said.await?;
        Ok(item)
    }

    async fn signature_help(&self, params: SignatureHelpParams) -> Result<Option<SignatureHelp>> {
        let at = params.text_document_position_params;
        self.ask(at.text_document.uri, move |here, _| {
            let offset = here.offset(at.position);
            let found = in_parts::signature(here, offset)?;
            Some(completion::signature(here, found))
        })
        .await
    }

    async fn goto_definition(
        &self,
        params: GotoDefinitionParams,
    ) -> Result<Option<GotoDefinitionResponse>> {
        let at = params.text_document_position_params;
        self.ask(at.text_document.uri, move |here, _| {
            Some(GotoDefinitionResponse::Array(navigate::definition(
                here,
                at.position,
            )))
        })
        .await
    }

    async fn goto_declaration(
        &self,
        params: request::GotoDeclarationParams,
    ) -> Result<Option<request::GotoDeclarationResponse>> {
        self.goto_definition(params).await
    }

    async fn goto_type_definition(
        &self,
        params: request::GotoTypeDefinitionParams,
    ) -> Result<Option<request::GotoTypeDefinitionResponse>> {
        let at = params.text_document_position_params;
        self.ask(at.text_document.uri, move |here, _| {
            Some(GotoDefinitionResponse::Array(navigate::type_definition(
                here,
                at.position,
            )))
        })
        .await
    }

    async fn references(&self, params: ReferenceParams) -> Result<Option<Vec<Location>>> {
        let at = params.text_document_position;
        let defined = params.context.include_declaration;
        let work = self.work(
            "Looking for a name in all plans",
            params.work_done_progress_params,
        );
        self.ask_all(work, move |snapshot, work, stop| {
            let here = snapshot.here(&at.text_document.uri, stop)?;
            Some(navigate::references(
                &here,
                at.position,
                defined,
                work,
                stop,
            ))
        })
        .await
    }

    async fn document_highlight(
        &self,
        params: DocumentHighlightParams,
    ) -> Result<Option<Vec<DocumentHighlight>>> {
        let at = params.text_document_position_params;
        self.ask(at.text_document.uri, move |here, _| {
            Some(navigate::highlights(here, at.position))
        })
        .await
    }

    async fn prepare_rename(
        &self,
        at: TextDocumentPositionParams,
    ) -> Result<Option<PrepareRenameResponse>> {
        self.ask(at.text_document.uri, move |here, _| {
            Some(navigate::prepare_rename(here, at.position))
        })
        .await?
        .unwrap_or(Ok(None))
    }

    async fn rename(&self, params: RenameParams) -> Result<Option<WorkspaceEdit>> {
        let at = params.text_document_position;
        let work = self.work("Renaming in all plans", params.work_done_progress_params);
        self.ask_all(work, move |snapshot, work, stop| {
            let here = snapshot.here(&at.text_document.uri, stop)?;
            Some(navigate::rename(
                &here,
                at.position,
                &params.new_name,
                work,
                stop,
            ))
        })
        .await?
        .unwrap_or(Ok(None))
    }

    async fn will_rename_files(&self, params: RenameFilesParams) -> Result<Option<WorkspaceEdit>> {
        let snapshot = self.session.snapshot();
        compute(move |stop| renames::will_rename(&snapshot, &params.files, &|| stop.is_set())).await
    }

    async fn linked_editing_range(
        &self,
        params: LinkedEditingRangeParams,
    ) -> Result<Option<LinkedEditingRanges>> {
        let at = params.text_document_position_params;
        self.ask(at.text_document.uri, move |here, _| {
            navigate::linked(here, at.position)
        })
        .await
    }

    async fn symbol(
        &self,
        params: WorkspaceSymbolParams,
    ) -> Result<Option<Vec<SymbolInformation>>> {
        let work = self.work(
            "Looking for names in all plans",
            params.work_done_progress_params,
        );
        self.ask_all(work, move |snapshot, work, stop| {
            navigate::symbols(snapshot, &params.query, work, stop)
        })
        .await
    }

    async fn prepare_call_hierarchy(
        &self,
        params: CallHierarchyPrepareParams,
    ) -> Result<Option<Vec<CallHierarchyItem>>> {
        let at = params.text_document_position_params;
        self.ask(at.text_document.uri, move |here, _| {
            Some(navigate::prepare_feeds(here, at.position))
        })
        .await
    }

    async fn incoming_calls(
        &self,
        params: CallHierarchyIncomingCallsParams,
    ) -> Result<Option<Vec<CallHierarchyIncomingCall>>> {
        self.ask_tree(params.item, navigate::feeders).await
    }

    async fn outgoing_calls(
        &self,
        params: CallHierarchyOutgoingCallsParams,
    ) -> Result<Option<Vec<CallHierarchyOutgoingCall>>> {
        self.ask_tree(params.item, navigate::fed).await
    }

    async fn document_link(&self, params: DocumentLinkParams) -> Result<Option<Vec<DocumentLink>>> {
        self.ask(params.text_document.uri, |here, _| {
            Some(navigate::links(here))
        })
        .await
    }

    async fn folding_range(&self, params: FoldingRangeParams) -> Result<Option<Vec<FoldingRange>>> {
        self.ask_text(params.text_document.uri, navigate::folds)
            .await
    }

    async fn selection_range(
        &self,
        params: SelectionRangeParams,
    ) -> Result<Option<Vec<SelectionRange>>> {
        self.ask(params.text_document.uri, move |here, _| {
            Some(navigate::selections(here, params.positions))
        })
        .await
    }

    async fn semantic_tokens_full_delta(
        &self,
        params: SemanticTokensDeltaParams,
    ) -> Result<Option<SemanticTokensFullDeltaResult>> {
        let (snapshot, tokens) = (self.session.snapshot(), self.tokens.clone());
        let (uri, last) = (params.text_document.uri, params.previous_result_id);
        compute(move |stop| tokens.delta(&snapshot, &uri, &last, &|| stop.is_set())).await?
    }

    async fn semantic_tokens_range(
        &self,
        params: SemanticTokensRangeParams,
    ) -> Result<Option<SemanticTokensRangeResult>> {
        let range = params.range;
        self.ask_text(params.text_document.uri, move |document, encoding| {
            Some(tokens::in_range(document, encoding, range)?.into())
        })
        .await
    }

    async fn document_color(&self, params: DocumentColorParams) -> Result<Vec<ColorInformation>> {
        let found = self.ask_text(params.text_document.uri, colours::list);
        Ok(found.await?.unwrap_or_default())
    }

    async fn color_presentation(
        &self,
        params: ColorPresentationParams,
    ) -> Result<Vec<ColorPresentation>> {
        let (picked, range) = (params.color, params.range);
        let words = self.ask_text(params.text_document.uri, move |document, encoding| {
            colours::presentations(document, encoding, picked, range)
        });
        Ok(words.await?.unwrap_or_default())
    }

    async fn inlay_hint(&self, params: InlayHintParams) -> Result<Option<Vec<InlayHint>>> {
        let uri = params.text_document.uri;
        self.ask(uri.clone(), move |here, stop| {
            hints::list(here, &uri, params.range, stop)
        })
        .await
    }

    async fn inlay_hint_resolve(&self, mut hint: InlayHint) -> Result<InlayHint> {
        if let Some((uri, answer)) = hints::question(hint.data.as_ref()) {
            hint.tooltip = self.ask(uri, move |here, _| answer(here)).await?;
        }
        Ok(hint)
    }

    async fn code_lens(&self, params: CodeLensParams) -> Result<Option<Vec<CodeLens>>> {
        let (snapshot, uri) = (self.session.snapshot(), params.text_document.uri);
        compute(move |_| lenses::list(&snapshot, &uri)).await
    }

    async fn code_lens_resolve(&self, mut lens: CodeLens) -> Result<CodeLens> {
        if let Some((uri, kind, about)) = lenses::about(lens.data.as_ref()) {
            let command = self.ask(uri, move |here, stop| {
                lenses::command(here, kind, about, stop)
            });
            lens.command = command.await?;
        }
        Ok(lens)
    }

    async fn execute_command(
        &self,
        params: ExecuteCommandParams,
    ) -> Result<Option<serde_json::Value>> {
        if let Some((uri, paper)) = papers::asked(&params.command, &params.arguments) {
            return self.open_paper(uri, paper).await;
        }
        if let Some((uri, seen)) = suspects::asked(&params.command, &params.arguments) {
            return self.open_suspects(uri, seen).await;
        }
        if let Some(action) = actions::asked(&params.command, &params.arguments) {
            return self.make_edits(action).await;
        }
        let Some((uri, kind, about)) = lenses::asked(&params.command, &params.arguments) else {
            let why = "There is no such command, or it is not said what it is about.";
            return Err(Error::invalid_params(why));
        };
        let told = self.ask(uri, move |here, stop| {
            Some(lenses::clicked(here, kind, &about, stop))
        });
        let Some((text, place)) = told.await? else {
            return Ok(None);
        };
        let place = place.filter(|_| self.session.snapshot().world.client.shows_places);
        let client = self.client.clone();
        // In a task of its own: a request to the client must outlive whatever asked for it.
        tokio::spawn(async move {
            client.show_message(MessageType::INFO, text).await;
            if let Some(place) = place {
                let show = ShowDocumentParams {
                    uri: place.uri,
                    external: None,
                    take_focus: Some(true),
                    selection: Some(place.range),
                };
                let _ = client.show_document(show).await;
            }
        });
        Ok(None)
    }

    async fn formatting(&self, params: DocumentFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.ask_text(params.text_document.uri, layout::document)
            .await
    }

    async fn range_formatting(
        &self,
        params: DocumentRangeFormattingParams,
    ) -> Result<Option<Vec<TextEdit>>> {
        let range = params.range;
        self.ask_text(params.text_document.uri, move |document, encoding| {
            layout::lines(document, encoding, range)
        })
        .await
    }

    async fn on_type_formatting(
        &self,
        params: DocumentOnTypeFormattingParams,
    ) -> Result<Option<Vec<TextEdit>>> {
        let at = params.text_document_position;
        self.ask_text(at.text_document.uri, move |document, encoding| {
            layout::after_line_end(document, encoding, at.position)
        })
        .await
    }

    async fn code_action(&self, params: CodeActionParams) -> Result<Option<CodeActionResponse>> {
        self.ask(params.text_document.uri.clone(), move |here, stop| {
            actions::list(here, &params, stop)
        })
        .await
    }

    async fn code_action_resolve(&self, action: CodeAction) -> Result<CodeAction> {
        let (snapshot, session) = (self.session.snapshot(), self.session.clone());
        compute(move |stop| {
            let later = || session.is_past(&snapshot).then(|| session.snapshot());
            actions::resolve(&snapshot, &later, action, &|| stop.is_set())
        })
        .await?
    }
}

/// A file as its user would name it.
fn path_or_address(uri: &Url) -> String {
    let path = uri.to_file_path();
    path.map_or_else(|()| uri.to_string(), |path| path.display().to_string())
}

/// Used files may change on the disk while no editor has them open.
fn watch_files() -> Registration {
    Registration {
        id: "used-files".to_owned(),
        method: "workspace/didChangeWatchedFiles".to_owned(),
        register_options: Some(serde_json::json!({"watchers": [{"globPattern": "**/*.harness"}]})),
    }
}
