// Where in a plan's text a sentence of the check points to: "line 5", "[piece 2] pull", "[slow]", "name".

const HEADER = /^\s*\[{1,2}\s*([\w.]+)\s*\]{1,2}/;

/** [start, end] of a line in the text, or null when none is meant. */
export function placeOf(fault, text) {
  const lines = text.split("\n");
  const numbered = fault.match(/\(at line (\d+)/);
  const index = numbered ? Number(numbered[1]) - 1 : lineOf(fault, lines);
  if (index === null || index < 0 || index >= lines.length) return null;
  const start = lines.slice(0, index).reduce((sum, line) => sum + line.length + 1, 0);
  return [start, start + lines[index].length];
}

function lineOf(fault, lines) {
  const inTable = fault.match(/^plan: \[+([\w.]+)(?: (\d+))?\]+ ?(?:unknown key ')?(\w+)?/);
  const atTop = fault.match(/^plan: (?:unknown key ')?(\w+)/);
  if (inTable) return lineIn(lines, inTable[1], Number(inTable[2] ?? 1), inTable[3]);
  return atTop ? keyFrom(lines, 0, atTop[1]) : null;
}

/** The key's line in the nth table of a name; without the key, the line of the table. */
function lineIn(lines, table, nth, key) {
  let left = nth;
  const header = lines.findIndex((line) => line.match(HEADER)?.[1] === table && --left === 0);
  if (header < 0) return null;
  return (key && keyFrom(lines, header + 1, key)) ?? header;
}

function keyFrom(lines, first, key) {
  for (let i = first; i < lines.length && !HEADER.test(lines[i]); i++) {
    if (lines[i].match(/^\s*(\w+)\s*=/)?.[1] === key) return i;
  }
  return null;
}
