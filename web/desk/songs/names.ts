// Names of charts, which are names of files: plain ones (docs/desk.md).
//
//   nameFault('a/b') === 'A name has no slash and no backslash.'

// Why it is no name, or "".
export function nameFault(name: string): string {
  if (name === '') return 'A name is wanted.';
  if (/[/\\]/.test(name)) return 'A name has no slash and no backslash.';
  if (/^[. ]/.test(name)) return 'A name begins with no dot.';
  if (/[\u0000-\u001f\u007f]/.test(name)) return 'A name has letters, figures, blanks and hyphens; something in it cannot be seen.';
  if (new TextEncoder().encode(name).length > 120) return 'This name is too long: 120 letters at most, fewer where they have accents.';
  return '';
}
