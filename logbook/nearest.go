package logbook

import (
	"strings"
)

// Nearest is the known word that a mistyped one most resembles, or "" if none is near.
func Nearest(typed string, known []string) string {
	best, least := "", 5
	typed = strings.ToLower(typed)
	for _, k := range known {
		// More slips than in nearly every other letter are another word: "fosfate" has four against "phosphate".
		limit := max(1, 4*len(k)/9)
		d := slips(typed, strings.ToLower(k))
		if len(typed) >= 3 && strings.HasPrefix(strings.ToLower(k), typed) {
			d = min(d, 1)
		}
		if d < least && d <= limit && d < len(k) {
			best, least = k, d
		}
	}
	return best
}

// DidYouMean is a hint that names the nearest known word, or the other hint if none is near.
func DidYouMean(typed string, known []string, hint string) string {
	if near := Nearest(typed, known); near != "" {
		return "did you mean " + near + "?"
	}
	return hint
}

// slips counts the letters to insert, drop, change or swap with their neighbour (optimal string alignment).
func slips(a, b string) int {
	s, t := []rune(a), []rune(b)
	d := make([][]int, len(s)+1)
	for i := range d {
		d[i] = make([]int, len(t)+1)
		d[i][0] = i
	}
	for j := range t {
		d[0][j+1] = j + 1
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(s)][len(t)]
}
