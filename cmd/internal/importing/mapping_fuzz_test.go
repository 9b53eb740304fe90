package importing

import (
	"encoding/json"
	"maps"
	"testing"

	"github.com/spf13/pflag"
)

// FuzzMapping reads the file of saved mappings as somebody may have left it. What can be read is shown as flags, and
// the flags that hold pairs say the same again.
func FuzzMapping(f *testing.F) {
	f.Add(`{"river":{"map":{"time":"Day, or hour","value":"the \"value\""},"ignore":["note"],"skip":2}}`)
	f.Add(`{"a":{"units":{"ca":"mg/L","alk":"a,b=c"},"decimal_comma":true,"header":["x","y"]}}`)
	f.Add(`{"a":null,"b":{"map":{"time":"two\nlines"}}}`)
	f.Fuzz(func(t *testing.T, file string) {
		saved := map[string]mapping{}
		if json.Unmarshal([]byte(file), &saved) != nil {
			return
		}
		for _, m := range saved {
			m.asFlags()
			for _, pairs := range []map[string]string{m.Map, m.Units} {
				plain := map[string]string{}
				for _, column := range pairs { // the names before the sign are the program's own
					plain["value"] = column
				}
				if len(plain) == 0 {
					continue
				}
				flags := pflag.NewFlagSet("import", pflag.ContinueOnError)
				got := flags.StringToString("map", nil, "")
				if err := flags.Parse([]string{"--map=" + pairsText(plain)}); err != nil || !maps.Equal(*got, plain) {
					t.Errorf("%q is shown as %q, which says %q (%v)", plain, pairsText(plain), *got, err)
				}
			}
		}
	})
}
