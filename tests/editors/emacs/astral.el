;;; astral.el --- Letters beyond the first plane, and line ends of two letters  -*- lexical-binding: t; -*-
;; By a client that counts columns as ENCODING has it.

(cl-defmethod eglot-client-capabilities :around (_server)
  (let ((capabilities (cl-call-next-method)))
    (plist-put capabilities :general (list :positionEncodings (vector (getenv "ENCODING"))))))

(plan "astral.harness")
(must (eq (coding-system-eol-type buffer-file-coding-system) 1) "the line ends are those of DOS")
(defvar the-server (start-server))
(must (equal (eglot-server-capable :positionEncoding) (getenv "ENCODING")) (format "columns are those of %s" (getenv "ENCODING")))
(let ((found (wait "the lamp on top is found" (lambda () (finding-of "`mast` runs at")))))
  (must (equal (nth 1 found) "resistor 39 ohm") "behind the letters, its words are right" found))
(put-cursor "from hub   over 90" 5)
(let ((text (hover))) (must (string-match-p "^joint hub: " text) "hover, too" text))
(mend "75 ohm")
(wait "nothing is left to find" (lambda () (null (findings))))
(must (save-excursion (goto-char (point-min)) (search-forward "\"🏮🚢 on top\" resistor 75 ohm" nil t)) "the mend is at its place")
(save-buffer)

(stop-server the-server)
;;; astral.el ends here
