package usage

import (
	"math"
	"strings"

	"github.com/spf13/cobra"
)

// Command makes a command without flags of its own.
func Command(use, short, example string, do func(args []string) error) *cobra.Command {
	return &cobra.Command{Use: use, Short: short, Example: example, RunE: func(_ *cobra.Command, args []string) error { return do(args) }}
}

// argsOf reads from a usage line how many arguments a command takes: one for each word, none or one for a word in brackets,
// one or more for a word with dots.
func argsOf(c *cobra.Command) cobra.PositionalArgs {
	least, most := 0, 0
	for _, word := range strings.Fields(c.Use)[1:] {
		switch {
		case strings.HasPrefix(word, "--"):
			return cobra.RangeArgs(least, most)
		case strings.HasSuffix(word, "..."):
			least, most = least+1, math.MaxInt
		case strings.HasPrefix(word, "["):
			most++
		default:
			least, most = least+1, most+1
		}
	}
	if len(c.ValidArgs) > 0 {
		return cobra.MatchAll(cobra.RangeArgs(least, most), cobra.OnlyValidArgs)
	}
	return cobra.RangeArgs(least, most)
}
