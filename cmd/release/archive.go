package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
)

type file struct {
	name    string
	data    []byte
	program bool
	link    string // what a symbolic link points to
}

func (f file) mode() fs.FileMode {
	if f.program {
		return 0o755
	}
	return 0o644
}

// tarGz packs files into a folder of a tar archive, with an entry for every folder. All of it belongs to root and is of
// one time.
func tarGz(folder string, files []file, when time.Time) ([]byte, error) {
	var packed bytes.Buffer
	w := tar.NewWriter(&packed)
	for _, name := range foldersOf(folder+"/", files) {
		h := &tar.Header{Typeflag: tar.TypeDir, Name: name, Mode: 0o755, ModTime: when, Uname: "root", Gname: "root"}
		if err := w.WriteHeader(h); err != nil {
			return nil, err
		}
	}
	for _, f := range sorted(files) {
		h := &tar.Header{Typeflag: tar.TypeReg, Name: folder + "/" + f.name, Size: int64(len(f.data)), Mode: int64(f.mode()),
			ModTime: when, Uname: "root", Gname: "root"}
		if f.link != "" {
			h.Typeflag, h.Linkname, h.Size, h.Mode = tar.TypeSymlink, f.link, 0, 0o777
		}
		if err := w.WriteHeader(h); err != nil {
			return nil, err
		}
		if _, err := w.Write(f.data); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return gzipped(packed.Bytes())
}

// foldersOf lists the folders of files, each before what is in it.
func foldersOf(prefix string, files []file) []string {
	folders := []string{prefix}
	for _, f := range files {
		for dir := path.Dir(f.name); dir != "."; dir = path.Dir(dir) {
			folders = append(folders, prefix+dir+"/")
		}
	}
	slices.Sort(folders)
	return slices.Compact(folders)
}

func sorted(files []file) []file {
	return slices.SortedFunc(slices.Values(files), func(a, b file) int { return strings.Compare(a.name, b.name) })
}

// gzipped compresses without the name and the time that the format has places for.
func gzipped(data []byte) ([]byte, error) {
	var packed bytes.Buffer
	w, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	err = w.Close()
	return packed.Bytes(), err
}

// zipped packs files into a folder of a zip archive.
func zipped(folder string, files []file, when time.Time) ([]byte, error) {
	var packed bytes.Buffer
	w := zip.NewWriter(&packed)
	for _, f := range sorted(files) {
		h := &zip.FileHeader{Name: folder + "/" + f.name, Method: zip.Deflate, Modified: when}
		h.SetMode(f.mode())
		into, err := w.CreateHeader(h)
		if err != nil {
			return nil, err
		}
		if _, err := into.Write(f.data); err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return packed.Bytes(), err
}
