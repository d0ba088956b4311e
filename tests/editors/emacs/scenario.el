;;; scenario.el --- The scenario that is the same for every editor: see ../scenario.py  -*- lexical-binding: t; -*-

(require 'json)

(defun play (one)
  "The scenario of one plan."
  (let-alist one
    (plan .plan)
    (let ((server (start-server))
          (count (length .findings)))
      (wait (format "as many findings come as the program tells: %d" count) (lambda () (= (length (findings)) count)))
      (seq-doseq (expected .findings)
        (let-alist expected
          (let ((found (seq-filter (lambda (finding) (and (= (nth 3 finding) .line) (string-match-p (regexp-quote .message) (nth 2 finding))))
                                   (findings)))
                (type (cdr (assoc .severity '(("error" . eglot-error) ("warning" . eglot-warning) ("hint" . eglot-note))))))
            (must (= (length found) 1) (format "%s is found in line %d" .check .line) (findings))
            (must (equal (nth 1 (car found)) .words) (format "at its words: %s" .words) found)
            (must (eq (nth 0 (car found)) type) "as bad as it is" found))))

      (let ((line (nth 3 (finding-of "have their power through")))
            (there (lambda (line) (goto-char (point-min)) (forward-line (1- line)) (search-forward .item) (goto-char (match-beginning 0)))))
        (unless line (setq line (nth 3 (finding-of "has its power through"))))
        (funcall there line)
        (let ((text (hover)))
          (must (string-match-p (concat "\\`[a-z]+ " (regexp-quote .item) ": ") text) "hover tells what it is about" text))

        (goto-char (point-max))
        (unless (bolp) (insert "\n"))
        (insert .half)
        (tell)
        (let* ((offer (eglot-completion-at-point))
               (offered (all-completions "" (nth 2 offer) (plist-get (nthcdr 3 offer) :predicate))))
          (must (member .stock (mapcar #'substring-no-properties offered)) (format "completion offers %s" .stock) offered))
        (delete-region (line-beginning-position) (point))
        (insert .wrong)
        (tell)
        (let ((late (wait "what is typed wrong is found" (lambda () (finding-of "nobody")))))
          (must (= (nth 3 late) (line-number-at-pos)) "in its line" late))
        (delete-region (line-beginning-position) (point))
        (tell)
        (wait "and goes" (lambda () (and (not (finding-of "nobody")) (= (length (findings)) count))))

        (funcall there line)
        (mend .fix)
        (wait "the chain is gone" (lambda () (not (finding-of "power through"))))
        (save-buffer)
        (funcall there line)
        (eglot-rename .new)
        (plan .annex)
        (save-buffer)
        (plan .plan)
        (eglot-format-buffer)
        (save-buffer))
      server)))

(let (server)
  (seq-doseq (one (json-parse-string (with-temp-buffer
                                       (insert-file-contents (concat (getenv "WORK") "/plans/scenario.json"))
                                       (buffer-string))
                                     :object-type 'alist))
    (setq server (play one)))
  (stop-server server))
;;; scenario.el ends here
