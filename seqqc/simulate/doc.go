// Package simulate makes Sanger reads whose truth is known: the four dye
// traces of a template or of a mixture of templates, and what a base caller
// makes of them.
package simulate
