;;; mode.el --- The mode by itself: colours, comments, indentation  -*- lexical-binding: t; -*-
(require 'ert)
(require 'imenu)

(defmacro with-plan (text &rest body)
  "In a buffer with TEXT, the cursor where | stands, run BODY."
  (declare (indent 1))
  `(with-temp-buffer
     (insert ,text)
     (harness-mode)
     (goto-char (point-min))
     (when (search-forward "|" nil t) (delete-char -1))
     (font-lock-ensure)
     ,@body))

(defun face-of (words)
  "The colour of WORDS."
  (save-excursion
    (goto-char (point-min))
    (search-forward words)
    (get-text-property (match-beginning 0) 'face)))

(ert-deftest colours ()
  (with-plan "lamp mast-1 of pearl resistor 560 ohm 1/4 W from keel over 2ft of fine # hung from the \"mast\nharness \"A # \\\" ship\"\nresistor drop 470R from keel\ntape t\n  colour warm-white\n  tolerance 5 %\n  ambient -5 degC\n"
    (should (eq (face-of "lamp") 'font-lock-keyword-face))
    (should (eq (face-of "mast-1") 'font-lock-function-name-face))
    (should (eq (face-of "1 of") 'font-lock-function-name-face))
    (should (eq (face-of "resistor 560") 'font-lock-builtin-face))
    (should (eq (face-of "resistor drop") 'font-lock-keyword-face))
    (dolist (number '("560 ohm" "ohm" "1/4 W" "2ft" "470R" "5 %" "%" "-5 degC"))
      (should (eq (face-of number) 'font-lock-number-face)))
    (should (eq (face-of "from keel") 'font-lock-builtin-face))
    (should (eq (face-of "from the") 'font-lock-comment-face))
    (should (eq (face-of "# \\") 'font-lock-string-face))
    (should (eq (face-of "ship") 'font-lock-string-face))
    (should (eq (face-of "warm-white") 'font-lock-constant-face))
    (should-not (face-of "keel"))))

(ert-deftest a-text-that-is-not-closed-ends-with-its-line ()
  (with-plan "zone a\n  note \"not closed # yet\nzone b\n  note \"closed\"\nlamp c # \"\nled d\n"
    (should (eq (face-of "\"not closed") 'font-lock-string-face))
    (should (eq (face-of "closed # yet") 'font-lock-string-face))
    (should (eq (face-of "zone b") 'font-lock-keyword-face))
    (should (eq (face-of "\"closed\"") 'font-lock-string-face))
    (should (eq (face-of "led d") 'font-lock-keyword-face))))

(defun after-return (text)
  "What TEXT becomes when Return is pressed at |."
  (with-plan text
    (let ((last-command-event ?\n)) (newline nil t))
    (insert "|")
    (buffer-string)))

(ert-deftest return-carries-the-stanza-on ()
  (electric-indent-mode 1)
  (dolist (pair '(("wire hook|" . "wire hook\n  |")
                  ("wire hook\n  gauge 24 AWG|" . "wire hook\n  gauge 24 AWG\n  |")
                  ("wire hook\n    gauge 24 AWG|" . "wire hook\n    gauge 24 AWG\n    |")
                  ("led a\n  drops 3 V at 20 mA,|" . "led a\n  drops 3 V at 20 mA,\n    |")
                  ("led a\n  drops 3 V at 20 mA, # two\n    2 V at 1 mA|" . "led a\n  drops 3 V at 20 mA, # two\n    2 V at 1 mA\n  |")
                  ("scene night off mast, # and|" . "scene night off mast, # and\n  |")
                  ("wire hook\n  gauge 24 AWG\n  |" . "wire hook\n  gauge 24 AWG\n\n|")
                  ("fuse F1 1 A from adapter|" . "fuse F1 1 A from adapter\n|")
                  ("# a, b,|" . "# a, b,\n|")))
    (should (equal (after-return (car pair)) (cdr pair)))))

(ert-deftest lines-are-indented ()
  (with-plan "wire hook\n gauge 24 AWG\n\n       colours red,\n black\nlamp mast of pearl\nresistor r 5 ohm from a\n"
    (indent-region (point-min) (point-max))
    (should (equal (buffer-string)
                   "wire hook\n  gauge 24 AWG\n\n  colours red,\n    black\nlamp mast of pearl\nresistor r 5 ohm from a\n"))))

(ert-deftest comments-and-index ()
  (with-plan "fuse F1 1 A from a|\nzone bow\n"
    (comment-line 1)
    (should (string-prefix-p "# fuse F1 1 A from a\n" (buffer-string)))
    (comment-line -1)
    (should (string-prefix-p "fuse F1 1 A from a\n" (buffer-string)))
    (let ((index (imenu--make-index-alist t)))
      (should (assoc "F1" (cdr (assoc "Wiring" index))))
      (should (assoc "bow" (cdr (assoc "Places" index)))))))

(ert-deftest the-file-is-known-by-its-ending ()
  (should (eq (cdr (assoc "a/b.harness" auto-mode-alist (lambda (re name) (string-match-p re name)))) 'harness-mode)))

(ert-run-tests-batch-and-exit)
;;; mode.el ends here
