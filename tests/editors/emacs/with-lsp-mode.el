;;; with-lsp-mode.el --- The same server by lsp-mode: findings, hover, a mend  -*- lexical-binding: t; -*-

;; Emacs would compile advice of its primitives by a compiler that does not work where it is unpacked.
(setq native-comp-enable-subr-trampolines nil
      native-comp-jit-compilation nil)
(require 'lsp-mode)
(require 'flymake)

(setq lsp-auto-guess-root t
      lsp-session-file (concat (getenv "WORK") "/lsp-session")
      lsp-server-install-dir (concat (getenv "WORK") "/lsp")
      lsp-enable-file-watchers nil
      lsp-restart 'ignore
      lsp-diagnostics-provider :flymake)

(plan "mistakes.harness")
(lsp)
(wait "the server is started" (lambda () (lsp-workspaces)))
(wait "it is ready" (lambda () (seq-every-p (lambda (w) (eq (lsp--workspace-status w) 'initialized)) (lsp-workspaces))))
(wait "four findings come" (lambda () (= 4 (length (lsp--get-buffer-diagnostics)))))
(put-cursor "strip  draper" 8)
(let ((hover (lsp-request "textDocument/hover" (lsp--text-document-position-params))))
  (must (string-match-p "cellar → baker → draper" (gethash "value" (gethash "contents" hover))) "hover says the way of the power" hover))
(put-cursor "strip  baker")
(let ((mends (seq-filter (lambda (action) (string-prefix-p "branch draper and grocer" (lsp:code-action-title action)))
                         (lsp-code-actions-at-point))))
  (must (= (length mends) 1) "the branching mend is offered at the margin of its line" mends)
  (lsp-execute-code-action (car mends)))
(wait "the chain is branched"
      (lambda () (save-excursion (goto-char (point-min)) (re-search-forward "^strip  draper of warm 15 lamps +from cellar" nil t))))
(set-buffer-modified-p nil)
(let ((workspace (car (lsp-workspaces))))
  (with-lsp-workspace workspace (lsp-workspace-shutdown workspace))
  (wait "the server ends" (lambda () (not (process-live-p (lsp--workspace-proc workspace))))))
;;; with-lsp-mode.el ends here
