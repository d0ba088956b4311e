;;; drive.el --- Plans in Emacs with Eglot, as a builder would use it  -*- lexical-binding: t; -*-
;; Typing and the screen are the business of ../terminal; here are the functions behind the keys.

;; A plan with four mistakes.
(plan "mistakes.harness")
(must (eq major-mode 'harness-mode) "the file is known as a harness file")
(defvar the-server (start-server))
(must (equal (plist-get (eglot--server-info the-server) :name) "glimloom") "it is our server")
(wait "four findings come" (lambda () (= (length (findings)) 4)))
(dolist (expected '((eglot-error "0.5 A" "`adapter` would have to give 614 mA")
                    (eglot-warning "from S1 over 60 mm of fine" "No fuse between `adapter` and `gutter`")
                    (eglot-warning "baker" "`draper` and `grocer` have their power through `baker` alone")
                    (eglot-error "17 lamps" "`baker` is cut through a group")))
  (pcase-let* ((`(,type ,words ,says) expected)
               (found (finding-of says)))
    (must (and found (eq (nth 0 found) type) (equal (nth 1 found) words)) (format "`%s' is wrong: %s" words says) (findings))))

(put-cursor "strip  draper" 8)
(let ((text (hover)))
  (dolist (words '("draper" "mA" "adapter → S1 → cellar → baker → draper" "If it breaks"))
    (must (string-match-p (regexp-quote words) text) (format "hover says `%s'" words) text)))

(eglot--update-hints-1 (point-min) (point-max))
(wait "volts and amps stand behind the lights"
      (lambda ()
        (let ((hints (seq-filter (lambda (o) (overlay-get o 'eglot--inlay-hint)) (overlays-in (point-min) (point-max)))))
          (seq-find (lambda (o) (string-match-p "V .*mA" (concat (overlay-get o 'before-string) (overlay-get o 'after-string)))) hints))))

;; Completion, as Tab asks for it.
(goto-char (point-max))
(insert "lamp   porch     of la")
(completion-at-point)
(must (looking-back "of lantern" (line-beginning-position)) "the name is completed" (thing-at-point 'line t))
(insert " ")
(let* ((offer (eglot-completion-at-point))
       (offered (all-completions (buffer-substring (nth 0 offer) (nth 1 offer)) (nth 2 offer) (plist-get (nthcdr 3 offer) :predicate))))
  (must (member "from" (mapcar #'substring-no-properties offered)) "what goes on is offered" offered))
(delete-region (line-beginning-position) (point))
(tell)

;; The chain is branched, and saved.
(wait "the findings are as before" (lambda () (= (length (findings)) 4)))
(put-cursor "strip  baker" 7)
(mend "branch draper and grocer from cellar")
(wait "the chain is gone" (lambda () (and (= (length (findings)) 3) (not (finding-of "have their power through")))))
(must (save-excursion (goto-char (point-min)) (re-search-forward "^strip  draper of warm 15 lamps +from cellar" nil t)) "draper is fed from cellar")
(must (save-excursion (goto-char (point-min)) (search-forward "one bad joint leaves the row dark" nil t)) "the comments are kept")
(save-buffer)

;; A finding appears and goes.
(put-cursor "lamp   street-1")
(search-forward "1 kohm")
(delete-char -6)
(insert "47 ohm")
(tell)
(let ((found (wait "a resistor that is too small is found" (lambda () (finding-of "`street-1` runs at")))))
  (must (equal (nth 1 found) "resistor 47 ohm 1/4 W") "at its words" found))
(delete-char -6)
(insert "1 kohm")
(tell)
(wait "it goes when the resistor is put right" (lambda () (not (finding-of "`street-1` runs at"))))
(must (= (length (findings)) 3) "the others stay" (findings))
(set-buffer-modified-p nil)

;; A name in two files.
(plan "lock-harbour.harness")
(must (eq (start-server) the-server) "one server for all plans of the folder")
(goto-char (point-min))
(search-forward "of glow")
(eglot-rename "candlelight")
(dolist (name '("lock-harbour.harness" "lock-stock.harness"))
  (plan name)
  (goto-char (point-min))
  (must (and (search-forward "candlelight" nil t) (not (re-search-forward "\\_<glow\\_>" nil t))) (format "%s has the new name" name))
  (save-buffer))

;; Layout.
(plan "ragged.harness")
(start-server)
(eglot-format-buffer)
(must (progn (goto-char (point-min)) (search-forward "\nsupply cells 4.5 V 1 A\nfuse   F1 100 mA  " nil t)) "the wiring stands in columns" (buffer-string))
(save-buffer)

(stop-server the-server)
;;; drive.el ends here
