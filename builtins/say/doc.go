// Package say is how things are said: how wide a text is on a terminal, what of a text is fit to be shown, plurals and
// articles, the signs of pictures and what stands for them in ASCII, the roles of colour, and the word most like another. It
// knows no script and no bench. It may use nothing of ours.
package say
