// What the scripts of a page find: from mdBook, from each other, and from the engine.

interface Foldmark {
  name: string;
  root: string;
  kept(name: string): string | null;
  keep(name: string, text: string): boolean;
  reach(): void;
  load(file: string): Promise<void>;
  taken: Map<string, any>;
  take(kind: string, key: string, what: any): void;
  open(kind: string, place: Element, door: Element, isAsked: boolean): Promise<void>;
}

declare const path_to_root: string | undefined;
declare var foldmark: Foldmark;
declare var foldmarkEngine: string;
