import { type Document, isMap, isScalar, isSeq, parseDocument, type YAMLMap, type YAMLSeq } from "yaml";
import { lineDiff } from "./line-diff.js";

/** What an entry of the configuration may hold. */
export type Setting =
  | string
  | number
  | boolean
  | null
  | readonly Setting[]
  | { readonly [key: string]: Setting };

export type ConfigList = "sources" | "channels";

/** One change of a configuration. Lists are told apart by the ids of their entries, so their order does not matter. */
export type ConfigEdit =
  /** A new entry at the end of its list, or another in place of the one that has its id. */
  | {
      readonly edit: "put";
      readonly list: ConfigList;
      readonly entry: { readonly id: string; readonly [key: string]: Setting };
    }
  | { readonly edit: "drop"; readonly list: ConfigList; readonly id: string }
  /** One setting of an entry; null takes it away, so that its default holds. */
  | {
      readonly edit: "set-entry";
      readonly list: ConfigList;
      readonly id: string;
      readonly key: string;
      readonly value: Setting;
    }
  /** One setting outside the lists, by its path; null takes it away. */
  | { readonly edit: "set"; readonly path: readonly string[]; readonly value: Setting };

/** An edit that the text has no place for. The message says what was expected. */
export class EditRefused extends Error {}

const FORM = { lineWidth: 0 } as const;

/**
 * The text of a configuration with the edits made, in order. Comments, order and the form of every line that the edits do
 * not touch stay as they are.
 * @throws EditRefused where the text is not YAML, a list is none, or an id to be changed is not there
 */
export function editConfig(text: string, edits: readonly ConfigEdit[]): string {
  const plain = read(text).toString(FORM);
  const document = read(text);
  for (const edit of edits) make(document, edit);
  return inFormOf(text, plain, document.toString(FORM));
}

function read(text: string): Document {
  const document = parseDocument(text);
  const [error] = document.errors;
  if (error !== undefined) throw new EditRefused(`text that is YAML, which it is not: ${error.message}`);
  return document as Document;
}

function make(document: Document, edit: ConfigEdit): void {
  switch (edit.edit) {
    case "put": {
      const list = listOf(document, edit.list);
      const old = entryOf(list, edit.entry.id);
      if (old === null) {
        list.add(document.createNode(edit.entry));
        setFlow(list.items.at(-1));
        return;
      }
      for (const { key } of [...old.items]) {
        if (!(String(key) in edit.entry)) old.delete(key);
      }
      for (const [key, value] of Object.entries(edit.entry)) put(document, old, key, value);
      return;
    }
    case "drop": {
      const list = listOf(document, edit.list);
      const old = known(list, edit);
      list.items.splice(list.items.indexOf(old), 1);
      return;
    }
    case "set-entry": {
      const entry = known(listOf(document, edit.list), edit);
      if (edit.value === null) entry.delete(edit.key);
      else put(document, entry, edit.key, edit.value);
      return;
    }
    case "set": {
      if (edit.value === null) {
        document.deleteIn(edit.path);
        return;
      }
      const above = document.getIn(edit.path.slice(0, -1), true);
      const key = edit.path.at(-1);
      if (isMap(above) && key !== undefined) put(document, above as YAMLMap, key, edit.value);
      else document.setIn(edit.path, document.createNode(edit.value));
    }
  }
}

/** A value that is as it was keeps the form, and the comment beside it, that it had. */
function put(document: Document, map: YAMLMap, key: string, value: Setting): void {
  const before = map.get(key, true);
  const same = before !== undefined && JSON.stringify(map.toJSON()[key]) === JSON.stringify(value);
  if (same) return;
  const node = document.createNode(value);
  if (isMap(node) || isSeq(node)) node.flow = true;
  const comment = (before as { comment?: string | null } | undefined)?.comment;
  if (comment !== undefined && comment !== null) node.comment = comment;
  map.set(key, node);
}

/** Lists and tables within a new entry stand on one line, as in the example file. */
function setFlow(entry: unknown): void {
  if (!isMap(entry)) return;
  for (const { value } of entry.items) if (isMap(value) || isSeq(value)) value.flow = true;
}

function listOf(document: Document, name: ConfigList): YAMLSeq {
  const list = document.get(name, true);
  if (isSeq(list)) return list;
  const empty = list === undefined || list === null || (isScalar(list) && list.value === null);
  if (!empty) {
    throw new EditRefused(`a list at ${name}`);
  }
  const made = document.createNode([]) as YAMLSeq;
  made.flow = false;
  document.set(name, made);
  return made;
}

function entryOf(list: YAMLSeq, id: string): YAMLMap | null {
  return (list.items.find((item) => isMap(item) && item.get("id") === id) as YAMLMap | undefined) ?? null;
}

function known(list: YAMLSeq, edit: { readonly list: ConfigList; readonly id: string }): YAMLMap {
  const entry = entryOf(list, edit.id);
  if (entry === null) throw new EditRefused(`an entry of ${edit.list} whose id is ${edit.id}`);
  return entry;
}

/**
 * The library writes a whole text in its own form: other blanks inside brackets, for instance. So the lines that the edits
 * left alone are taken from the text as it was. `plain` is that text in the library's form, line by line the same where
 * nothing was wrapped otherwise; where it was, or the lines would not fit together, the library's form stands.
 */
function inFormOf(text: string, plain: string, edited: string): string {
  const [was, form, now] = [text, plain, edited].map((each) => each.split("\n")) as [
    string[],
    string[],
    string[],
  ];
  if (was.length !== form.length) return edited;
  let at = 0;
  const lines = lineDiff(form, now).flatMap(({ what, lines: part }) => {
    if (what === "added") return part;
    const from = at;
    at += part.length;
    return what === "same" ? was.slice(from, at) : [];
  });
  const kept = lines.join("\n");
  return saysTheSame(kept, edited) ? kept : edited;
}

/** Lines of two forms need not fit together: one list may be indented where the other is not. */
function saysTheSame(one: string, other: string): boolean {
  const [a, b] = [parseDocument(one), parseDocument(other)];
  return a.errors.length === 0 && JSON.stringify(a.toJS()) === JSON.stringify(b.toJS());
}
