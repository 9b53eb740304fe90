package trend

// Note is a remark that travels with a result and that the screens must show, such as "needs 5 readings, has 3".
type Note struct {
	Code string // stable, for scripts: "too-few", "all-censored", "old", "outlier", ...
	Text string // one plain sentence, lower case, no full stop
}
