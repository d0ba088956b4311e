;;; try.el --- What try.sh adds to a bare Emacs  -*- lexical-binding: t; -*-
;; The server of this folder's build, started with the file.
(setq harness-server-command (list (or (getenv "GLIMLOOM") "glimloom") "serve")
      inhibit-startup-screen t)
;; Long messages are broken between words, and figures can be told from the text.
(setq-default word-wrap t)
(load-theme 'modus-vivendi t)
(add-hook 'harness-mode-hook #'eglot-ensure)
;;; try.el ends here
