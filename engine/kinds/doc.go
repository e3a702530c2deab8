// Package kinds says what there is to build with, before anything stands anywhere: cells and directions, the kinds of part and
// what belongs to each ([Trait]), the words of their events, and kinds of a script's own, told once and written out as a table
// ([Spec]). It holds values only: nothing here changes, and no bench is known. The engine gives the same names, and others use
// those. It may use nothing of ours.
package kinds
