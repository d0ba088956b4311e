;;; steps.el --- What the tests that drive Emacs share  -*- lexical-binding: t; -*-
;; Each step prints `ok …'; the first failure ends Emacs with a message and exit status 1.

(require 'harness-mode)
(require 'seq)

(setq harness-server-command (list (getenv "GLIMLOOM") "serve")
      make-backup-files nil
      create-lockfiles nil
      auto-save-default nil)

(defun must (condition what &rest seen)
  "CONDITION holds, or WHAT fails, with what was SEEN."
  (unless condition
    (message "FAILED: %s%s" what (if seen (format ": %S" seen) ""))
    (kill-emacs 1))
  (message "ok %s" what)
  condition)

(defun wait (what ready)
  "Wait until READY gives something, and give it back; WHAT is awaited."
  (let ((end (+ (float-time) 20)) value)
    (while (and (not (setq value (funcall ready))) (< (float-time) end))
      (accept-process-output nil 0.02))
    (must value what)))

(defun plan (name)
  "Open the plan NAME."
  (find-file (expand-file-name name (concat (getenv "WORK") "/plans"))))

(defun put-cursor (words &optional within)
  "Put the cursor on WORDS, which stand in the buffer once, and so many letters WITHIN."
  (goto-char (point-min))
  (must (and (search-forward words nil t) (not (save-excursion (search-forward words nil t)))) (format "`%s' stands there once" words))
  (goto-char (+ (match-beginning 0) (or within 0))))
