;;; eglot-steps.el --- What the tests with Eglot share  -*- lexical-binding: t; -*-

(require 'eglot)
(require 'flymake)
(require 'eldoc)

(setq eglot-sync-connect 20
      eglot-autoshutdown nil
      eglot-confirm-server-edits nil)

(defun start-server ()
  "What `eglot-ensure' in the hook of the mode does once Emacs waits for keys."
  (eglot-ensure)
  (run-hooks 'post-command-hook)
  (must (eglot-managed-p) "Eglot manages the buffer")
  (flymake-start)
  (eglot-current-server))

(defun tell ()
  "Without a user there is no idle moment in which Eglot tells the server what was typed."
  (eglot--signal-textDocument/didChange))

(defun findings ()
  "Of each finding how bad it is, the words that it stands on, and what it says."
  (mapcar (lambda (finding)
            (list (flymake-diagnostic-type finding)
                  (buffer-substring-no-properties (flymake-diagnostic-beg finding) (flymake-diagnostic-end finding))
                  (flymake-diagnostic-text finding)
                  (line-number-at-pos (flymake-diagnostic-beg finding))))
          (seq-sort-by #'flymake-diagnostic-beg #'< (flymake-diagnostics))))

(defun finding-of (words)
  "The first finding that says WORDS."
  (seq-find (lambda (finding) (string-match-p (regexp-quote words) (nth 2 finding))) (findings)))

(defun mend (title)
  "Apply the only mend at the cursor whose name begins with TITLE."
  (let* ((actions (eglot-code-actions (line-beginning-position) (line-end-position) "quickfix"))
         (fitting (seq-filter (lambda (action) (string-prefix-p title (plist-get action :title))) actions))
         (before (buffer-chars-modified-tick)))
    (must (= (length fitting) 1) (format "one mend is called `%s…'" title) (mapcar (lambda (action) (plist-get action :title)) actions))
    (eglot-execute (eglot-current-server) (car fitting))
    (wait "its edits are made" (lambda () (/= before (buffer-chars-modified-tick))))
    (tell)))

(defun hover ()
  "What Eldoc shows at the cursor."
  (let (shown)
    (eglot-hover-eldoc-function (lambda (text &rest _) (setq shown (substring-no-properties text))))
    (wait "the server says what is under the cursor" (lambda () shown))))

(defun stop-server (server)
  "End SERVER as `eglot-shutdown' does, but for killing it in the same moment."
  (setf (eglot--shutdown-requested server) t)
  (jsonrpc-request server :shutdown nil :timeout 5)
  (jsonrpc-notify server :exit nil)
  (let ((process (jsonrpc--process server)))
    (wait "the server ends" (lambda () (not (process-live-p process))))
    (must (equal (list (process-status process) (process-exit-status process)) '(exit 0)) "by itself, without complaint")))
;;; eglot-steps.el ends here
