// Package hold is what values hold: how all that lies in a value is gone through, frozen, or made anew with something else in
// it. It knows the values of the language only; values of our own say what they hold by being a Holder. It may use nothing of
// ours.
package hold
