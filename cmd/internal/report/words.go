package report

import "fmt"

// atMost keeps the first n lines and says how many more there are.
func atMost(lines []string, n int) []string {
	if len(lines) <= n {
		return lines
	}
	return append(lines[:n-1:n-1], fmt.Sprintf("… and %d more", len(lines)-n+1))
}
