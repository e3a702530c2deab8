// Package lesson is the workshop's course: lessons told in Starlark, walked through by a learner, checked unattended, printed
// for a class.
//
// A lesson is a script that says, with five words of its own, what happens in which order (form.go): it is text and code to
// show, and questions. Reading it runs none of that. A Walk goes through it with somebody who answers; Check goes through it
// alone; Print writes it down. What is shown and what is answered runs in a session of lang, on the real engine. It may use
// builtins, lang, picture, say, scripts, steplog and whole.
package lesson
