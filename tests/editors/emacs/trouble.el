;;; trouble.el --- What goes wrong outside of the plan, and plans that are somewhere else  -*- lexical-binding: t; -*-
;; With Eglot. The program is GLIMLOOM by way of a script that keeps its process number.

(defun pid () "That of the server." (string-to-number (with-temp-buffer (insert-file-contents (concat (getenv "WORK") "/pid")) (buffer-string))))
(defun four () "All findings of the example." (wait "four findings come" (lambda () (= (length (findings)) 4))))
(defun edit (path) "Open the file PATH of the work folder." (find-file (expand-file-name path (getenv "WORK"))))
(defun said () "All messages." (with-current-buffer "*Messages*" (buffer-string)))

;; No program: it is said, and the text has its colours and can be written.
(let ((harness-server-command (list (concat (getenv "WORK") "/nowhere") "serve")))
  (edit "plans/mistakes.harness")
  (eglot-ensure)
  (condition-case why (run-hooks 'post-command-hook) (error (message "%s" (error-message-string why))))
  (wait "it is said that there is no program" (lambda () (string-match-p "nowhere is not installed" (said))))
  (font-lock-ensure)
  (goto-char (point-min))
  (re-search-forward "^strip")
  (must (eq (get-text-property (match-beginning 0) 'face) 'font-lock-keyword-face) "the words have their colours")
  (insert " ")
  (set-buffer-modified-p nil)
  (kill-buffer))

;; A crash: the next start is by hand.
(edit "plans/mistakes.harness")
(start-server)
(four)
(let ((was (pid)))
  (signal-process was 'SIGKILL)
  (wait "the editor knows that it is gone" (lambda () (not (eglot-current-server))))
  (wait "and says so" (lambda () (string-match-p "Server exited\\|exited with\\|killed" (said))))
  (start-server)
  (must (/= was (pid)) "there is another by hand"))
(four)

;; Read only: all is there, but nothing is written.
(edit "plans/sealed.harness")
(must buffer-read-only "a file that cannot be written is known as such")
(start-server)
(four)
(put-cursor "strip  draper" 8)
(must (string-match-p "mA\\|strip draper" (hover)) "hover tells what is there")
(must (condition-case nil (progn (insert "x") nil) (buffer-read-only t)) "it cannot be written")

;; A folder of its own, and another one.
(defvar first-server (eglot-current-server))
(edit "others/mistakes.harness")
(must (not (eq (start-server) first-server)) "another folder has another server")
(four)
(edit "alone/mistakes.harness")
(start-server)
(four)
(must t "a file in no project has its findings")

;; A hundred thousand lines.
(edit "plans/large.harness")
(insert "led pearl drops 3.0 V at 20 mA limit 25 mA\n")
(dotimes (n 20000)
  (insert (format "supply s%d 12 V 1 A\nfuse f%d 100 mA from s%d\njoint j%d from f%d\nlamp a%d of pearl resistor 560 ohm from j%d\nlamp b%d of pearl resistor 1 kohm from j%d\n"
                  n n n n n n n n n)))
(save-buffer)
(start-server)
(goto-char (point-max))
(search-backward "560")
(delete-char 3)
(insert "56")
(tell)
(let ((found (wait "what is typed at the end of 100,000 lines is found" (lambda () (finding-of "`a19999` runs at")))))
  (must (= (nth 3 found) (line-number-at-pos)) "in its line" found))
(delete-char -2)
(insert "560")
(tell)
(wait "and goes" (lambda () (not (finding-of "`a19999` runs at"))))
(must (progn (font-lock-ensure (line-beginning-position) (line-end-position))
             (eq (get-text-property (line-beginning-position) 'face) 'font-lock-keyword-face))
      "the words there have their colours")
(set-buffer-modified-p nil)
;;; trouble.el ends here
