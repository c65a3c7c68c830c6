import { startCheckIn } from './check-in/app.tsx';

const root = document.getElementById('check-in');
if (root !== null) startCheckIn(root);
