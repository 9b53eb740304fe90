// Package entry reads what a keeper types: from text to records, with what is doubtful about them and what to beware
// of. Both front ends ask and show; how a text is taken stands here, once. Rules that a person decided are rows of
// testdata/typed/rows.json, which is typed at the shell, at the prompt and on the screens.
package entry
