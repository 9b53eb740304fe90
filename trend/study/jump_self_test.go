package study

import "testing"

// Net uptake that changes at once is followed within four tests: its interval holds, and its sign is right.
func TestJumps(t *testing.T) {
	var late JumpScore
	for after, s := range ScoreJumps(Jumps(11, 60)) {
		t.Logf("test %d after the jump: interval holds in %.2f, sign right in %.2f of %d", after, s.Demand.Share(),
			share(s.Sign, s.Demand.N), s.Demand.N)
		if after >= 4 {
			late.Demand.N += s.Demand.N
			late.Demand.Inside += s.Demand.Inside
			late.Sign += s.Sign
		}
	}
	if held, sign := late.Demand.Share(), share(late.Sign, late.Demand.N); held < 0.76 || sign < 0.95 {
		t.Errorf("from the fourth test on the interval holds in %.3f and the sign is right in %.3f", held, sign)
	}
}
