//! What the client can do, folded once into plain switches, and what we offer.

use tower_lsp::lsp_types::*;

use super::actions;
use super::lenses;
use super::papers;
use super::suspects;
use super::tokens::legend;
use crate::editor::actions::ActionKind;
use crate::text::Encoding;

/// What the client said that it can do.
#[derive(Clone, Debug, Default)]
pub struct Client {
    /// What its columns count.
    pub encoding: Encoding,
    /// It said something about encodings, and so wants to hear which was taken.
    pub offers_encodings: bool,
    /// Edits may name the version of the document that they are for.
    pub document_changes: bool,
    /// The outline may be a tree.
    pub symbol_tree: bool,
    /// Hover may be Markdown.
    pub markdown: bool,
    /// A finding may point to other places.
    pub related_information: bool,
    /// A finding may be marked as about something unnecessary.
    pub unnecessary: bool,
    /// Actions may be sent whole, not only as commands to be sent back.
    pub action_literals: bool,
    /// It makes edits that it is sent.
    pub applies_edits: bool,
    /// One action may be marked as the best.
    pub preferred_actions: bool,
    /// The edits of an action may be sent when it is chosen.
    pub resolves_actions: bool,
    /// An action that cannot be done may be sent with the reason.
    pub disabled_actions: bool,
    /// Edits may make files.
    pub creates_files: bool,
    /// It asks what would be renamed before it asks for the new name.
    pub prepare_rename: bool,
    /// What is completed may have places to fill in.
    pub snippets: bool,
    /// An entry of completion may be put in ahead of the rest of a word, or in its place.
    pub insert_replace: bool,
    /// What there is to say of an entry may be Markdown.
    pub completion_markdown: bool,
    /// What there is to say of a form may be Markdown.
    pub signature_markdown: bool,
    /// The places of a form may be told by where they stand.
    pub label_offsets: bool,
    /// It can be asked to watch files.
    pub watched_files: bool,
    /// It asks what more there is to say of a hint.
    pub resolves_hints: bool,
    /// It can be told to ask for hints anew.
    pub refreshes_hints: bool,
    /// It can be told to ask for lenses anew.
    pub refreshes_lenses: bool,
    /// It can be told to show a place.
    pub shows_places: bool,
    /// It can be asked for settings.
    pub asks_settings: bool,
    /// It can be asked to tell when settings change.
    pub tells_settings: bool,
    /// It asks for findings; then it is not told of them as well.
    pub pulls: bool,
    /// An answer about the findings of one file may hold those of others.
    pub related_documents: bool,
    /// It can be asked to ask for findings again.
    pub refreshes_findings: bool,
    /// It asks before files are renamed.
    pub renames_files: bool,
    /// It shows the progress of work that the server begins.
    pub shows_progress: bool,
}

impl Client {
    /// Whether it can be offered actions.
    pub fn takes_actions(&self) -> bool {
        self.action_literals || self.applies_edits
    }

    /// Whether it can be offered actions only as commands.
    pub fn takes_commands(&self) -> bool {
        self.applies_edits && !self.action_literals
    }

    /// Whether the edits of an action are worked out when it is chosen.
    pub fn edits_later(&self) -> bool {
        self.resolves_actions || self.takes_commands()
    }

    /// Folds what the client said of itself.
    pub fn of(said: &ClientCapabilities) -> Client {
        let text = said.text_document.as_ref();
        let workspace = said.workspace.as_ref();
        let findings = text.and_then(|t| t.publish_diagnostics.as_ref());
        let actions = text.and_then(|t| t.code_action.as_ref());
        let encodings = said
            .general
            .as_ref()
            .and_then(|g| g.position_encodings.as_deref());
        let tags = findings.and_then(|f| f.tag_support.as_ref());
        let entries = text.and_then(|t| t.completion.as_ref()?.completion_item.as_ref());
        let forms = text.and_then(|t| t.signature_help.as_ref()?.signature_information.as_ref());
        let markdown = |formats: Option<&[MarkupKind]>| {
            formats.is_some_and(|formats| formats.contains(&MarkupKind::Markdown))
        };
        Client {
            encoding: Encoding::negotiate(encodings.unwrap_or_default().iter().map(|e| e.as_str())),
            offers_encodings: encodings.is_some_and(|offered| !offered.is_empty()),
            document_changes: workspace
                .and_then(|w| w.workspace_edit.as_ref()?.document_changes)
                .unwrap_or(false),
            symbol_tree: text
                .and_then(|t| {
                    t.document_symbol
                        .as_ref()?
                        .hierarchical_document_symbol_support
                })
                .unwrap_or(false),
            markdown: markdown(text.and_then(|t| t.hover.as_ref()?.content_format.as_deref())),
            related_information: findings
                .and_then(|f| f.related_information)
                .unwrap_or(false),
            unnecessary: tags
                .is_some_and(|tags| tags.value_set.contains(&DiagnosticTag::UNNECESSARY)),
            action_literals: actions.is_some_and(|a| a.code_action_literal_support.is_some()),
            applies_edits: workspace.and_then(|w| w.apply_edit).unwrap_or(false),
            preferred_actions: actions
                .and_then(|a| a.is_preferred_support)
                .unwrap_or(false),
            disabled_actions: actions.and_then(|a| a.disabled_support).unwrap_or(false),
            creates_files: workspace
                .and_then(|w| w.workspace_edit.as_ref()?.resource_operations.as_ref())
                .is_some_and(|known| known.contains(&ResourceOperationKind::Create)),
            resolves_actions: actions.is_some_and(|a| {
                let later = a.resolve_support.as_ref();
                let edits = later.is_some_and(|l| l.properties.iter().any(|p| p == "edit"));
                edits && a.data_support == Some(true)
            }),
            prepare_rename: text
                .and_then(|t| t.rename.as_ref()?.prepare_support)
                .unwrap_or(false),
            snippets: entries.and_then(|e| e.snippet_support).unwrap_or(false),
            insert_replace: entries
                .and_then(|e| e.insert_replace_support)
                .unwrap_or(false),
            completion_markdown: markdown(entries.and_then(|e| e.documentation_format.as_deref())),
            signature_markdown: markdown(forms.and_then(|f| f.documentation_format.as_deref())),
            label_offsets: forms
                .and_then(|f| f.parameter_information.as_ref()?.label_offset_support)
                .unwrap_or(false),
            watched_files: workspace
                .and_then(|w| w.did_change_watched_files.as_ref()?.dynamic_registration)
                .unwrap_or(false),
            resolves_hints: text
                .and_then(|t| t.inlay_hint.as_ref()?.resolve_support.as_ref())
                .is_some_and(|resolve| resolve.properties.iter().any(|p| p == "tooltip")),
            refreshes_hints: workspace
                .and_then(|w| w.inlay_hint.as_ref()?.refresh_support)
                .unwrap_or(false),
            refreshes_lenses: workspace
                .and_then(|w| w.code_lens.as_ref()?.refresh_support)
                .unwrap_or(false),
            shows_places: said
                .window
                .as_ref()
                .and_then(|w| w.show_document.as_ref())
                .is_some_and(|show| show.support),
            asks_settings: workspace.and_then(|w| w.configuration).unwrap_or(false),
            tells_settings: workspace
                .and_then(|w| w.did_change_configuration.as_ref()?.dynamic_registration)
                .unwrap_or(false),
            pulls: text.is_some_and(|t| t.diagnostic.is_some()),
            related_documents: text
                .and_then(|t| t.diagnostic.as_ref()?.related_document_support)
                .unwrap_or(false),
            refreshes_findings: workspace
                .and_then(|w| w.diagnostic.as_ref()?.refresh_support)
                .unwrap_or(false),
            renames_files: workspace
                .and_then(|w| w.file_operations.as_ref()?.will_rename)
                .unwrap_or(false),
            shows_progress: said
                .window
                .as_ref()
                .and_then(|w| w.work_done_progress)
                .unwrap_or(false),
        }
    }
}

/// What this server does.
pub fn offered(client: &Client) -> ServerCapabilities {
    ServerCapabilities {
        position_encoding: client
            .offers_encodings
            .then(|| PositionEncodingKind::new(client.encoding.name())),
        text_document_sync: Some(
            TextDocumentSyncOptions {
                open_close: Some(true),
                change: Some(TextDocumentSyncKind::INCREMENTAL),
                save: Some(TextDocumentSyncSaveOptions::Supported(true)),
                ..Default::default()
            }
            .into(),
        ),
        hover_provider: Some(true.into()),
        completion_provider: Some(CompletionOptions {
            resolve_provider: Some(true),
            trigger_characters: Some([" ", ".", ",", "\"", "/"].map(String::from).to_vec()),
            ..Default::default()
        }),
        signature_help_provider: Some(SignatureHelpOptions {
            trigger_characters: Some(vec![" ".to_owned()]),
            retrigger_characters: Some(vec![",".to_owned()]),
            ..Default::default()
        }),
        definition_provider: Some(OneOf::Left(true)),
        declaration_provider: Some(DeclarationCapability::Simple(true)),
        type_definition_provider: Some(TypeDefinitionProviderCapability::Simple(true)),
        references_provider: Some(OneOf::Right(ReferencesOptions {
            work_done_progress_options: with_progress(),
        })),
        document_highlight_provider: Some(OneOf::Left(true)),
        rename_provider: Some(if client.prepare_rename {
            OneOf::Right(RenameOptions {
                prepare_provider: Some(true),
                work_done_progress_options: with_progress(),
            })
        } else {
            OneOf::Left(true)
        }),
        linked_editing_range_provider: Some(LinkedEditingRangeServerCapabilities::Simple(true)),
        workspace_symbol_provider: Some(OneOf::Right(WorkspaceSymbolOptions {
            work_done_progress_options: with_progress(),
            resolve_provider: None,
        })),
        call_hierarchy_provider: Some(CallHierarchyServerCapability::Simple(true)),
        document_link_provider: Some(DocumentLinkOptions {
            resolve_provider: Some(false),
            work_done_progress_options: Default::default(),
        }),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        selection_range_provider: Some(SelectionRangeProviderCapability::Simple(true)),
        document_symbol_provider: Some(OneOf::Left(true)),
        code_action_provider: client.takes_actions().then(|| {
            if client.takes_commands() {
                return true.into();
            }
            CodeActionOptions {
                code_action_kinds: Some(
                    ActionKind::ALL
                        .map(actions::kind)
                        .into_iter()
                        .chain([suspects::KIND])
                        .collect(),
                ),
                resolve_provider: Some(client.resolves_actions),
                work_done_progress_options: Default::default(),
            }
            .into()
        }),
        semantic_tokens_provider: Some(
            SemanticTokensOptions {
                legend: legend(),
                range: Some(true),
                full: Some(SemanticTokensFullOptions::Delta { delta: Some(true) }),
                ..Default::default()
            }
            .into(),
        ),
        color_provider: Some(ColorProviderCapability::Simple(true)),
        inlay_hint_provider: Some(OneOf::Right(InlayHintServerCapabilities::Options(
            InlayHintOptions {
                resolve_provider: Some(client.resolves_hints),
                ..Default::default()
            },
        ))),
        code_lens_provider: Some(CodeLensOptions {
            resolve_provider: Some(true),
        }),
        execute_command_provider: Some(ExecuteCommandOptions {
            commands: lenses::commands()
                .into_iter()
                .chain(papers::commands())
                .chain([suspects::COMMAND.to_owned()])
                .chain(client.takes_commands().then(|| actions::COMMAND.to_owned()))
                .collect(),
            ..Default::default()
        }),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        document_on_type_formatting_provider: Some(DocumentOnTypeFormattingOptions {
            first_trigger_character: "\n".to_owned(),
            more_trigger_character: None,
        }),
        workspace: Some(WorkspaceServerCapabilities {
            workspace_folders: Some(WorkspaceFoldersServerCapabilities {
                supported: Some(true),
                change_notifications: Some(OneOf::Left(true)),
            }),
            file_operations: client.renames_files.then(renames),
        }),
        diagnostic_provider: client.pulls.then(|| {
            DiagnosticServerCapabilities::Options(DiagnosticOptions {
                identifier: Some(env!("CARGO_PKG_NAME").to_owned()),
                inter_file_dependencies: true,
                workspace_diagnostics: true,
                work_done_progress_options: with_progress(),
            })
        }),
        ..Default::default()
    }
}

/// The client may hand out a token for the progress.
fn with_progress() -> WorkDoneProgressOptions {
    WorkDoneProgressOptions {
        work_done_progress: Some(true),
    }
}

/// Files and folders whose renaming may change what a `use` leads to.
fn renames() -> WorkspaceFileOperationsServerCapabilities {
    let filter = |glob: &str, kind| FileOperationFilter {
        scheme: Some("file".to_owned()),
        pattern: FileOperationPattern {
            glob: glob.to_owned(),
            matches: Some(kind),
            options: None,
        },
    };
    WorkspaceFileOperationsServerCapabilities {
        will_rename: Some(FileOperationRegistrationOptions {
            filters: vec![
                filter("**/*.harness", FileOperationPatternKind::File),
                filter("**", FileOperationPatternKind::Folder),
            ],
        }),
        ..Default::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{from_value, json, to_value};

    #[test]
    fn a_client_that_says_nothing_gets_the_plainest() {
        let client = Client::of(&ClientCapabilities::default());
        assert_eq!(client.encoding, Encoding::Utf16);
        assert!(!client.document_changes && !client.symbol_tree && !client.markdown);
        assert!(!client.snippets && !client.insert_replace && !client.label_offsets);
        let offered = to_value(offered(&client)).unwrap();
        assert_eq!(offered.get("positionEncoding"), None);
        assert_eq!(offered.get("codeActionProvider"), None);
        assert_eq!(offered["renameProvider"], true);
        assert_eq!(offered["textDocumentSync"]["change"], 2);
    }

    /// LSP 3.17: without `codeActionLiteralSupport` only commands can be offered, which make their edits by `workspace/applyEdit`.
    #[test]
    fn a_client_of_commands_gets_commands() {
        let said = json!({"workspace": {"applyEdit": true}, "textDocument": {"codeAction": {}}});
        let offered = to_value(offered(&Client::of(&from_value(said).unwrap()))).unwrap();
        assert_eq!(offered["codeActionProvider"], true);
        let commands = offered["executeCommandProvider"]["commands"].as_array();
        assert!(commands.unwrap().contains(&json!(actions::COMMAND)));
    }

    #[test]
    fn a_client_that_says_much_gets_it() {
        let said = json!({
            "general": {"positionEncodings": ["utf-16", "utf-8"]},
            "workspace": {"workspaceEdit": {"documentChanges": true}, "didChangeWatchedFiles": {"dynamicRegistration": true}},
            "textDocument": {
                "hover": {"contentFormat": ["markdown"]},
                "rename": {"prepareSupport": true},
                "documentSymbol": {"hierarchicalDocumentSymbolSupport": true},
                "codeAction": {"isPreferredSupport": true, "dataSupport": true, "resolveSupport": {"properties": ["edit"]}, "codeActionLiteralSupport": {"codeActionKind": {"valueSet": ["quickfix"]}}},
                "publishDiagnostics": {"relatedInformation": true, "codeDescriptionSupport": true, "tagSupport": {"valueSet": [1, 2]}},
                "completion": {"completionItem": {"snippetSupport": true, "insertReplaceSupport": true, "documentationFormat": ["plaintext", "markdown"]}},
                "signatureHelp": {"signatureInformation": {"documentationFormat": ["markdown"], "parameterInformation": {"labelOffsetSupport": true}}},
            },
        });
        let client = Client::of(&from_value(said).unwrap());
        assert!(
            client.document_changes
                && client.symbol_tree
                && client.markdown
                && client.watched_files
        );
        assert!(client.related_information && client.unnecessary);
        assert!(client.action_literals && client.preferred_actions && client.resolves_actions);
        assert!(client.snippets && client.insert_replace && client.completion_markdown);
        assert!(client.signature_markdown && client.label_offsets);
        let offered = to_value(offered(&client)).unwrap();
        assert_eq!(offered["positionEncoding"], "utf-8");
        assert_eq!(
            offered["renameProvider"],
            json!({"prepareProvider": true, "workDoneProgress": true})
        );
    }
}
