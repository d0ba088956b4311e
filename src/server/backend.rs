//! The protocol's methods. Each request takes a snapshot before anything else and is computed beside the protocol;
//! each notification changes the session at once, without waiting for anything. Texts that are opened or edited do not
//! come here, but to [`super::texts`].

use std::path::PathBuf;
use std::sync::Arc;

use tokio::sync::watch;
use tower_lsp::jsonrpc::Result;
use tower_lsp::lsp_types::*;
use tower_lsp::{Client, LanguageServer};

use super::capabilities::{self, offered};
use super::completion;
use super::compute::compute;
use super::convert;
use super::in_parts;
use super::keys::{key_of, path_of};
use super::layout;
use super::log::Log;
use super::navigate;
use super::orphan::is_alive;
use super::plans::Here;
use super::session::Session;
use crate::editor;
use crate::editor::actions::{self, ActionKind};
use crate::editor::fix_all::fix_all;
use crate::parts::Stop;
use crate::text::{Document, Encoding};

/// The server behind the protocol.
pub struct Backend {
    client: Client,
    session: Arc<Session>,
    /// Where handlers put what is to be logged.
    pub log: Log,
    /// The process that is to be watched, once the client has said which.
    process: watch::Sender<Option<u32>>,
}

impl Backend {
    /// A server that speaks to `client`.
    pub fn new(
        client: Client,
        process: watch::Sender<Option<u32>>,
        session: Arc<Session>,
    ) -> Backend {
        let log = Log::to(client.clone());
        log.hear_panics();
        Backend {
            client,
            session,
            log,
            process,
        }
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
        let options = params.initialization_options.as_ref();
        let client = capabilities::Client::of(&params.capabilities, options);
        let capabilities = offered(&client);
        self.session.begin(client, folders(&params));
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
        if !self.session.snapshot().world.client.watched_files {
            return;
        }
        let client = self.client.clone();
        // In a task of its own: a request to the client must outlive whatever asked for it.
        tokio::spawn(async move {
            let _ = client.register_capability(vec![watch_files()]).await;
        });
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
    }

    async fn did_change_watched_files(&self, _: DidChangeWatchedFilesParams) {
        self.session.forget_disk();
    }

    async fn did_change_workspace_folders(&self, params: DidChangeWorkspaceFoldersParams) {
        let added = paths(params.event.added.iter().map(|folder| &folder.uri));
        let removed = paths(params.event.removed.iter().map(|folder| &folder.uri));
        self.session.change_folders(added, &removed);
    }

    async fn hover(&self, params: HoverParams) -> Result<Option<Hover>> {
        let at = params.text_document_position_params;
        self.ask(at.text_document.uri, move |here, _| {
            let offset = here.offset(at.position);
            Some(convert::hover(here, in_parts::hover(here, offset)?))
        })
        .await
    }

    async fn completion(&self, params: CompletionParams) -> Result<Option<CompletionResponse>> {
        let at = params.text_document_position;
        let uri = at.text_document.uri;
        self.ask(uri.clone(), move |here, _| {
            let offset = here.offset(at.position);
            let offers = in_parts::completion(here, offset)?;
            Some(completion::list(here, &uri, offers, offset))
        })
        .await
    }

    async fn completion_resolve(&self, mut item: CompletionItem) -> Result<CompletionItem> {
        let Some((uri, about)) = completion::question(item.data.as_ref()) else {
            return Ok(item);
        };
        let said = self.ask(uri, move |here, _| {
            let text = editor::completion::about(&here.plan.analysis, here.file, &about)?;
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
        self.ask(at.text_document.uri, move |here, stop| {
            Some(navigate::references(here, at.position, defined, stop))
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
        self.ask(at.text_document.uri, move |here, stop| {
            Some(navigate::rename(here, at.position, &params.new_name, stop))
        })
        .await?
        .unwrap_or(Ok(None))
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
        let snapshot = self.session.snapshot();
        compute(move |stop| navigate::symbols(&snapshot, &params.query, &|| stop.is_set())).await
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
        self.ask(params.text_document.uri, |here, _| {
            Some(navigate::folds(here))
        })
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

    async fn document_symbol(
        &self,
        params: DocumentSymbolParams,
    ) -> Result<Option<DocumentSymbolResponse>> {
        self.ask(params.text_document.uri, |here, _| {
            convert::symbols(here, in_parts::outline(here))
        })
        .await
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
        self.ask(params.text_document.uri, move |here, stop| {
            if !here.snapshot.world.client.action_literals {
                return None;
            }
            let span = here.span(params.range);
            let analysis = &here.plan.analysis;
            let only = params.context.only.as_deref();
            let mut actions = Vec::new();
            if is_wanted(ActionKind::QuickFix, only) || is_wanted(ActionKind::Refactor, only) {
                actions = actions::actions(analysis, here.file, span);
                actions.retain(|action| is_wanted(action.kind, only));
            }
            // It takes as long as all mends together: only who asks for it gets it.
            if only.is_some() && is_wanted(ActionKind::FixAll, only) {
                actions.extend(fix_all(analysis, stop));
            }
            let actions = actions.into_iter();
            let actions = actions.filter_map(|action| convert::action(here, action));
            Some(actions.map(CodeActionOrCommand::CodeAction).collect())
        })
        .await
    }
}

/// A client asks for a kind or for one above it: `refactor` covers `refactor.rewrite`, and the empty kind all.
fn is_wanted(kind: ActionKind, only: Option<&[CodeActionKind]>) -> bool {
    let kind = convert::action_kind(kind);
    only.is_none_or(|only| {
        only.iter().any(|wanted| {
            let rest = kind.as_str().strip_prefix(wanted.as_str());
            rest.is_some_and(|rest| {
                rest.is_empty() || rest.starts_with('.') || wanted.as_str().is_empty()
            })
        })
    })
}

/// Used files may change on the disk while no editor has them open.
fn watch_files() -> Registration {
    Registration {
        id: "used-files".to_owned(),
        method: "workspace/didChangeWatchedFiles".to_owned(),
        register_options: Some(serde_json::json!({"watchers": [{"globPattern": "**/*.harness"}]})),
    }
}
