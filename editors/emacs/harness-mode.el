;;; harness-mode.el --- Lighting plans of scale models  -*- lexical-binding: t; -*-

;; Package-Requires: ((emacs "28.1"))
;; Keywords: languages
;; SPDX-License-Identifier: MIT OR Apache-2.0

;;; Commentary:

;; A major mode for harness files: colours, comments, indentation that carries a stanza on, an outline.  What is wrong with a plan,
;; its figures and its mends come from the language server `glimloom', by Eglot or by lsp-mode; this file tells both how to start it.

;;; Code:

(defgroup harness nil
  "Lighting plans of scale models."
  :group 'languages
  :prefix "harness-")

(defcustom harness-server-command '("glimloom" "serve")
  "The language server and its arguments."
  :type '(repeat string))

(defcustom harness-server-settings nil
  "What the server is to show, as a property list: (:hints (:feed t)).
The table of settings in docs/editors.md of the project names them all;
off is `:json-false'."
  :type 'plist)

;;; The words of the language

;; Written from the table of the language: GLIMLOOM_WRITE=1 cargo test words_of_the_editors
;; words: stanzas
(defconst harness-mode--stanzas
  '("board" "connector" "copy" "diode" "fuse" "harness" "joint" "lamp" "led" "link" "load" "module" "passage" "pattern"
    "rectifier" "regulator" "resistor" "scene" "stage" "string" "strip" "supply" "switch" "tape" "tried" "use" "wire"
    "zone"))
;; words: clauses
(defconst harness-mode--clauses
  '("accept" "ambient" "and" "area" "as" "at" "because" "bench" "between" "bore" "break" "bright" "but" "by" "capacity"
    "carries" "colour" "colours" "contact" "diameter" "dimmed" "done" "draws" "dropout" "drops" "duty" "edition"
    "efficiency" "either-way" "finish" "fits" "flash" "flickers" "from" "gauge" "gives" "group" "groups" "have" "headroom"
    "in" "inside" "insulation" "lamp" "lamps" "lasts" "lifts" "limit" "long" "m" "material" "max-drop" "needs" "note" "of"
    "off" "on" "one" "only" "outer" "output" "over" "per" "quick" "rated" "resettable" "resistance" "resistor" "return"
    "runs" "scale" "sealed" "seals" "sinks" "slack" "slot" "slow" "spent" "survives" "takes" "to" "tolerance" "track"
    "treat" "turns" "via" "where" "windows" "works"))
;; words: choices
(defconst harness-mode--choices
  '("abs" "amber" "bare" "black" "blue" "enamel" "error" "green" "hint" "infrared" "metal" "none" "ptfe" "pvc" "red"
    "resin" "silicone" "silver" "start" "styrene" "uv" "warm-white" "warning" "white" "wood" "yellow"))
;; words: units
(defconst harness-mode--units
  '("A" "AWG" "Ah" "Hz" "Mohm" "MΩ" "V" "W" "cd" "cm" "cm2" "deg" "degC" "degF" "ft" "h" "in" "in2" "inch" "kohm" "kΩ"
    "lm" "m" "mA" "mAh" "mV" "mW" "mcd" "min" "mm" "mm2" "ms" "ohm" "s" "uA" "Ω"))
;; words: end

(defconst harness-mode--name "[[:alpha:]][[:alnum:]_.-]*"
  "What a name looks like.")

(defconst harness-mode--head (concat "^" (regexp-opt harness-mode--stanzas t) "\\_>")
  "The word at the margin that begins a stanza.")

(defvar harness-mode--font-lock-keywords
  (let ((number (if (facep 'font-lock-number-face) 'font-lock-number-face 'font-lock-constant-face)))
    `((,harness-mode--head 1 'font-lock-keyword-face)
      (,(concat harness-mode--head "[ \t]+\\(" harness-mode--name "\\)") 2 'font-lock-function-name-face)
      ("\\_<[0-9]\\{4\\}-[0-9]\\{2\\}-[0-9]\\{2\\}\\_>" 0 ',number)
      (,(concat "\\(?:\\_<-?\\|[+]\\)[0-9][0-9./:]*[ \t]*\\(?:" (regexp-opt harness-mode--units) "\\_>\\)") 0 ',number)
      ("\\(?:\\_<-?\\|[+]\\)[0-9][0-9./:]*\\(?:[ \t]*%\\|[RkM][0-9]*\\_>\\|\\_>\\)" 0 ',number)
      (,(regexp-opt harness-mode--clauses 'symbols) 0 'font-lock-builtin-face)
      (,(regexp-opt harness-mode--choices 'symbols) 0 'font-lock-constant-face)))
  "Colours, from the words of the language alone.")

(defvar harness-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?\" "\"" table)
    (modify-syntax-entry ?\\ "\\" table)
    (dolist (letter '(?- ?_ ?.))
      (modify-syntax-entry letter "_" table))
    (dolist (sign '(?' ?/ ?% ?+ ?* ?= ?< ?> ?& ?|))
      (modify-syntax-entry sign "." table))
    table)
  "Comments run from # to the end of the line; names hold -, _ and dots.")

(defun harness-mode--syntax-propertize (start end)
  "Let a text between START and END that is not closed go no further than its line."
  (goto-char start)
  (while (and (< (point) end) (search-forward "\"" end t))
    (let ((quote (1- (point))))
      (unless (nth 8 (save-excursion (syntax-ppss quote)))
        (if (looking-at "\\(?:[^\"\\\n]\\|\\\\.\\)*\"")
            (goto-char (match-end 0))
          (put-text-property quote (point) 'syntax-table (string-to-syntax "<"))
          (end-of-line))))))

(defun harness-mode--syntactic-face (state)
  "The colour of a text or a comment, by the STATE of the parser."
  (if (or (nth 3 state) (eq (char-after (nth 8 state)) ?\"))
      'font-lock-string-face
    'font-lock-comment-face))

;;; Indentation

(defconst harness-mode--listed "[^#\n]*,[ \t]*\\(?:#.*\\)?$"
  "A line whose list goes on in the next one.")

(defun harness-mode--goes-on ()
  "The column in which the line at point carries its stanza on."
  (save-excursion
    (forward-line 0)
    (skip-chars-backward " \t\n")
    (let ((listed (save-excursion
                    (forward-line 0)
                    (looking-at harness-mode--listed))))
      (cond ((and listed (= (current-indentation) 0)) 2)
            (listed (max 4 (current-indentation)))
            ((= (current-indentation) 0) 2)
            (t (harness-mode--clause-indentation))))))

(defun harness-mode--clause-indentation ()
  "The column of the clauses of the stanza at point, 2 where it has none yet."
  (save-excursion
    (forward-line 0)
    (while (and (not (bobp)) (not (looking-at "[^ \t\n#]")))
      (forward-line -1))
    (forward-line 1)
    (if (looking-at "[ \t]+[^ \t\n#]") (current-indentation) 2)))

(defun harness-mode--indentation ()
  "The column that the line at point belongs in."
  (let ((blank (save-excursion (forward-line 0) (looking-at "[ \t]*$")))
        (above (save-excursion
                 (and (= (forward-line -1) 0)
                      (cond ((looking-at "[ \t]*$") 'blank)
                            ((looking-at "[ \t]") 'indented)
                            ((looking-at "\\(?:harness\\|wire\\|tape\\|led\\|module\\|zone\\)\\_>") 'head)
                            ((looking-at harness-mode--listed) 'listed))))))
    (cond ((save-excursion (forward-line 0) (looking-at harness-mode--head)) 0)
          ((and (not blank) (> (current-indentation) 0)) (harness-mode--goes-on))
          ((memq above '(indented head listed)) (harness-mode--goes-on))
          (t 0))))

(defun harness-mode-indent-line ()
  "Indent the line so that it carries the stanza on; once more, back to the margin."
  (interactive)
  (let* ((column (harness-mode--indentation))
         (again (and (eq this-command last-command)
                     (eq this-command 'indent-for-tab-command)
                     (> column 0)
                     (= column (current-indentation))))
         (within (> (current-column) (current-indentation))))
    (if within
        (save-excursion (indent-line-to (if again 0 column)))
      (indent-line-to (if again 0 column)))))

;;; The mode

(defvar harness-mode--imenu
  (mapcar (lambda (group)
            (list (car group)
                  (concat "^" (regexp-opt (cdr group)) "[ \t]+\\(" harness-mode--name "\\)")
                  1))
          '(("Stock" "wire" "tape" "led" "module")
            ("Places" "zone" "passage")
            ("Patterns" "pattern" "copy")
            ("Scenes" "scene" "stage")
            ("Wiring" "supply" "fuse" "switch" "connector" "joint" "resistor" "diode" "rectifier" "regulator" "strip" "lamp"
             "string" "board" "load")))
  "The index by name, for as long as no server gives a better one.")

;;;###autoload
(define-derived-mode harness-mode prog-mode "Harness"
  "Major mode for harness files: lighting plans of scale models."
  (setq-local comment-start "# "
              comment-end ""
              comment-start-skip "#+[ \t]*"
              comment-column 30
              indent-tabs-mode nil
              indent-line-function #'harness-mode-indent-line
              electric-indent-inhibit t
              outline-regexp harness-mode--head
              outline-level (lambda () 1)
              imenu-generic-expression harness-mode--imenu
              syntax-propertize-function #'harness-mode--syntax-propertize
              font-lock-defaults '(harness-mode--font-lock-keywords
                                   nil nil nil
                                   (font-lock-syntactic-face-function . harness-mode--syntactic-face))))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.harness\\'" . harness-mode))

;;; The server

(defvar eglot-server-programs)
(defvar lsp-language-id-configuration)
(declare-function lsp-register-client "ext:lsp-mode")
(declare-function lsp-stdio-connection "ext:lsp-mode")
(declare-function lsp-activate-on "ext:lsp-mode")
(declare-function make-lsp-client "ext:lsp-mode" t t)

(defun harness-mode--eglot-contact (&rest _)
  "Return the command of the server, and what it is told first."
  (let ((program (car harness-server-command)))
    (unless (executable-find program)
      (user-error "%s is not installed, or not on the PATH: there are colours, but no findings" program)))
  (append harness-server-command
          (and harness-server-settings (list :initializationOptions harness-server-settings))))

(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '(harness-mode . harness-mode--eglot-contact)))

(with-eval-after-load 'lsp-mode
  (add-to-list 'lsp-language-id-configuration '(harness-mode . "harness"))
  (lsp-register-client
   (make-lsp-client :new-connection (lsp-stdio-connection (lambda () harness-server-command))
                    :activation-fn (lsp-activate-on "harness")
                    :initialization-options (lambda () harness-server-settings)
                    :server-id 'glimloom)))

(provide 'harness-mode)
;;; harness-mode.el ends here
