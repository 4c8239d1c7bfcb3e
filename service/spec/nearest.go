package spec

import (
	"fmt"
	"strings"
)

// NotOneOf says that value is not a legal word for a field, lists the legal
// ones, and names the nearest.
func NotOneOf(field, value string, legal []string) string {
	s := fmt.Sprintf("%s is %q; write one of %s", field, Clip(value), strings.Join(legal, ", "))
	if n := Nearest(value, legal); n != "" {
		s += fmt.Sprintf(" (did you mean %q?)", n)
	}
	return s
}

// Clip shortens text received from outside so that it can be quoted.
func Clip(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}

// Nearest returns the word in legal that is closest to value by edit distance,
// or "" when none is near: at most one edit in three letters.
func Nearest(value string, legal []string) string {
	const longest = 64
	if len(value) > longest {
		return ""
	}
	best, bestD := "", len(value)/3+1
	for _, w := range legal {
		if d := distance(strings.ToLower(value), w); d < bestD || (d == bestD && best == "") {
			best, bestD = w, d
		}
	}
	return best
}

// distance is the Levenshtein edit distance in bytes, by the two-row method
// (R. A. Wagner, M. J. Fischer, J. ACM 21, 1974; from memory).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			diagonal, row[j] = row[j], min(row[j]+1, row[j-1]+1, diagonal+cost)
		}
	}
	return row[len(b)]
}
