/**
 * Names the rules that judged an assignment and is stored with it. Raise it whenever a rule may give another verdict on
 * the same facts, so that old verdicts are not read as if the present rules had given them.
 */
export const rulesEdition = '2026.3';
